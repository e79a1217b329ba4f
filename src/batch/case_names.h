// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::batch {

/// A relative path as a name for a case and its folder: parts "", "." and ".."
/// go, characters that a file system or a reader might mistake (control and
/// direction characters, \ : * ? " < > |) become "_", a part is cut at 150
/// bytes. A first part that is the name of a file of ours (index.html) gets "_".
/// @return  parts joined by '/'; "case" where nothing is left.
[[nodiscard]] std::string SafeName(std::string_view path);

/// Whether SafeName() leaves `name` as it is.
[[nodiscard]] bool IsSafeName(std::string_view name);

/// Names that differ and of which none lies within another one's folder: what
/// would, gets "__" for that "/"; of equal ones all but the first get "-2",
/// "-3", in their order.
/// @param names  as SafeName() makes them.
/// @return       one for each, in their order.
[[nodiscard]] std::vector<std::string> MakeDistinct(const std::vector<std::string>& names);

}  // namespace ohmglow::batch
