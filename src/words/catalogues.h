// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

namespace ohmglow::internal {

/// One catalogue of src/words.
struct BuiltInWords {
  std::string_view book;      ///< Its folder: "page", "report" or "record".
  std::string_view language;  ///< The file's name without its ending.
  std::string_view text;
};

/// All of them; the first of each book is English.
[[nodiscard]] const std::vector<BuiltInWords>& AllBuiltInWords();

}  // namespace ohmglow::internal
