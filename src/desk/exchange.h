// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow::desk {

/// The largest body of a request.
inline constexpr std::size_t kMostBodyBytes = std::size_t{1} << 20U;

/// A request as the desk sees it: what it is about, whatever carried it.
struct Ask {
  std::string method;  ///< GET or POST.
  std::string path;    ///< Behind the token, without a leading slash: "api/state".
  std::map<std::string, std::string> query;
  std::string body;
};

struct Reply {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers = {};
};

}  // namespace ohmglow::desk
