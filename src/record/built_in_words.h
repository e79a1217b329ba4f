// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

namespace ohmglow::record::internal {

/// One catalogue of src/record/words.
struct Catalogue {
  std::string_view language;  ///< The file's name without its ending.
  std::string_view text;
};

/// All of them; the first is English.
[[nodiscard]] const std::vector<Catalogue>& RecordCatalogues();

}  // namespace ohmglow::record::internal
