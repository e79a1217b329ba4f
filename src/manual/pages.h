// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string_view>

namespace ohmglow {

/// A page of the manual as plain text, UTF-8, lines of at most 80 columns but
/// for examples and tables.
struct ManualPage {
  std::string_view name;  ///< As of the manual page: "ohmglow-locate".
  std::string_view text;
};

/// All of them, by name.
[[nodiscard]] std::span<const ManualPage> ManualPages();

}  // namespace ohmglow
