// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

#include "desk/exchange.h"

namespace ohmglow::desk {

/// What is known of a request before its body is read.
struct Knock {
  std::string method;
  std::string path;  ///< Decoded, without the query.
  std::string host;
  std::string origin;        ///< Empty: none was sent.
  std::string content_type;  ///< Of a POST.
  bool coded = false;        ///< A body in chunks or packed: its size is not told before.
};

/// Whom the desk lets in. The address it prints is http://127.0.0.1:PORT/TOKEN/; all
/// addresses of the page are relative to it, so every request carries the token, and
/// neither cookies nor scripts of other pages come into it.
class Gate {
 public:
  Gate(std::string token, int port);

  /// The path behind the token, or the refusal in `refused`. Asked for:
  /// a name of this machine alone as the host (RFC 9110, 7.2), against names of other
  /// sites that are made to point here; the token; GET, or POST of JSON from the page's
  /// own origin (RFC 6454); no more than kMostPerSecond requests.
  [[nodiscard]] std::optional<std::string> Enter(const Knock& knock, Reply& refused);

  /// Requests let through in a second; a page needs a few dozen.
  static constexpr double kMostPerSecond = 200;

 private:
  /// Holds what a second allows.
  struct Bucket {
    double allowance = kMostPerSecond;
    std::chrono::steady_clock::time_point last = std::chrono::steady_clock::now();
  };
  [[nodiscard]] bool InTime(Bucket& bucket);

  std::string token_;
  std::string hosts_[2];
  std::mutex mutex_;
  Bucket known_, strangers_;  // Strangers take nothing from who has the key.
};

}  // namespace ohmglow::desk
