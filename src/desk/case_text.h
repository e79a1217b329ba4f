// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace ohmglow::desk {

/// A case file's text with one key set, all else as it was: comments, also that behind the
/// value, blanks, order and line ends. A key that is not there goes to the end of its
/// section, a section that is not there to the end of the text. Written by hand because
/// the libraries that keep comments take one behind a value for a part of the value.
/// @param name   "section.key" or "key", as in ohmglow-case(5).
/// @param value  one line.
/// @throws OptionError  where the value cannot stand in a line of a case file.
[[nodiscard]] std::string WithKey(std::string_view text,
                                  std::string_view name,
                                  std::string_view value);

}  // namespace ohmglow::desk
