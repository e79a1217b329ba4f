// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <unordered_map>

namespace ohmglow {

/// The entries of a constant list of words by their `text`, found in one step:
/// each cell of a table is compared with hundreds of words.
template <typename Entry>
class WordIndex {
 public:
  /// @param entries  must outlive the index; of equal words the first counts.
  template <typename Entries>
  explicit WordIndex(const Entries& entries) {
    for (const Entry& entry : entries) by_text_.emplace(entry.text, &entry);
  }

  /// Null where the word is not in the list.
  [[nodiscard]] const Entry* Find(std::string_view text) const {
    const auto found = by_text_.find(text);
    return found == by_text_.end() ? nullptr : found->second;
  }

 private:
  std::unordered_map<std::string_view, const Entry*> by_text_;
};

}  // namespace ohmglow
