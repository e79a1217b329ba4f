// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace ohmglow::desk {

/// One file of the page, held by the program.
struct Asset {
  std::string_view name;  ///< "desk.css"
  std::string_view type;  ///< Media type.
  std::string_view bytes;
};

/// @return  nothing where there is no such file.
[[nodiscard]] const Asset* FindAsset(std::string_view name);

}  // namespace ohmglow::desk
