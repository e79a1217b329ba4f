// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

namespace ohmglow::desk {

/// Opens the desk in the user's browser, where there is a screen. The address would stand
/// in the list of processes for all users of the machine; so the browser is given a small
/// file that only this user can read and that leads there. Removed in the end.
class Browser {
 public:
  explicit Browser(const std::string& address);
  ~Browser();
  Browser(const Browser&) = delete;
  Browser& operator=(const Browser&) = delete;

 private:
  std::filesystem::path folder_;
};

}  // namespace ohmglow::desk
