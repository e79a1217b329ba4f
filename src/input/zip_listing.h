// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "byte_source.h"

namespace ohmglow {

/// Which members a zip's list of contents names, eight bytes each: libarchive's own
/// list takes 160 bytes a member. The members themselves do not say that they are links.
class ZipListing {
 public:
  enum class Kind { kUnlisted, kFile, kLink };

  /// Nothing where the file is no zip with a whole list at its end.
  [[nodiscard]] static std::optional<ZipListing> Read(const ByteSource& file);

  /// Of the member whose header begins at this byte.
  [[nodiscard]] Kind KindAt(std::uint64_t offset) const;
  [[nodiscard]] std::size_t size() const { return entries_.size(); }

 private:
  std::vector<std::uint64_t> entries_;  // Twice the offset, plus one for a link; rising.
};

}  // namespace ohmglow
