// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "zip_listing.h"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// PKWARE's APPNOTE.TXT 6.3: end of the central directory (4.3.16), its locator and record of
// 64 bits (4.3.15, 4.3.14), an entry (4.3.12), extra fields (4.5.3).
constexpr std::string_view kEnd("PK\5\6", 4);
constexpr std::string_view kLocator64("PK\6\7", 4);
constexpr std::string_view kEnd64("PK\6\6", 4);
constexpr std::string_view kEntry("PK\1\2", 4);
constexpr std::size_t kEndBytes = 22;
constexpr std::size_t kLocatorBytes = 20;
constexpr std::size_t kEnd64Bytes = 56;
constexpr std::size_t kEntryBytes = 46;
constexpr std::size_t kLongestComment = 65535;
constexpr std::size_t kBlockBytes = 1U << 16U;
constexpr std::uint64_t kIn64 = 0xFFFFFFFF;  // The value stands in the extra field.
constexpr std::uint64_t kUnix = 3;           // Who made the entry (4.4.2.2).
// Kinds of file in the upper half of the attributes: POSIX, sys/stat.h.
constexpr std::uint64_t kKindBits = 0170000;
constexpr std::uint64_t kLinkBits = 0120000;

std::uint64_t Number(std::string_view bytes, std::size_t at, std::size_t length) {
  std::uint64_t value = 0;
  for (std::size_t i = length; i-- > 0;) {
    value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  }
  return value;
}

struct Directory {
  std::uint64_t begin = 0;
  std::uint64_t size = 0;
};

std::optional<Directory> FindDirectory(const ByteSource& file) {
  const std::size_t most = kEndBytes + kLongestComment + kLocatorBytes;
  const std::uint64_t from = file.size() - std::min<std::uint64_t>(file.size(), most);
  const std::string tail = file.Peek(from, most);
  if (tail.size() < kEndBytes) return std::nullopt;
  const std::size_t end = tail.rfind(kEnd, tail.size() - kEndBytes);
  if (end == std::string::npos) return std::nullopt;
  Directory found{Number(tail, end + 16, 4), Number(tail, end + 12, 4)};
  std::uint64_t end_at = from + end;
  if (end >= kLocatorBytes &&
      std::string_view(tail).substr(end - kLocatorBytes).starts_with(kLocator64)) {
    end_at = Number(tail, end - kLocatorBytes + 8, 8);
    const std::string record = file.Peek(end_at, kEnd64Bytes);
    if (record.size() < kEnd64Bytes || !record.starts_with(kEnd64)) return std::nullopt;
    found = {Number(record, 48, 8), Number(record, 40, 8)};
  }
  // Where something was put in front of the archive its offsets are not those of the file.
  if (found.begin > end_at || found.size != end_at - found.begin) return std::nullopt;
  return found;
}

// Where the member's header begins; in an archive above 4 GB the extra field 1 tells it, behind
// those of two sizes that do not fit either.
std::optional<std::uint64_t> OffsetOf(std::string_view entry, std::string_view extra) {
  const std::uint64_t offset = Number(entry, 42, 4);
  if (offset != kIn64) return offset;
  const std::size_t before =
      (Number(entry, 24, 4) == kIn64 ? 8 : 0) + (Number(entry, 20, 4) == kIn64 ? 8 : 0);
  while (extra.size() >= 4) {
    const std::size_t length = Number(extra, 2, 2);
    if (length > extra.size() - 4) break;
    if (Number(extra, 0, 2) == 1 && length >= before + 8) return Number(extra, 4 + before, 8);
    extra.remove_prefix(4 + length);
  }
  return std::nullopt;
}

}  // namespace

std::optional<ZipListing> ZipListing::Read(const ByteSource& file) {
  if (!file.Peek(0, 4).starts_with("PK\3\4")) return std::nullopt;
  const auto directory = FindDirectory(file);
  if (!directory) return std::nullopt;
  ZipListing listing;
  std::string block;
  std::size_t at = 0;  // In the block.
  std::uint64_t left = directory->size;
  std::uint64_t next = directory->begin;  // Of the file, behind the block.
  // Whether so many bytes are in the block, read where they are not.
  const auto has = [&](std::size_t length) {
    if (block.size() - at >= length) return true;
    block.erase(0, at);
    at = 0;
    const std::string more = file.Peek(
        next, std::min<std::uint64_t>(kBlockBytes, directory->begin + directory->size - next));
    next += more.size();
    block += more;
    return block.size() >= length;
  };
  while (left > 0) {
    if (!has(kEntryBytes)) return std::nullopt;
    if (!std::string_view(block).substr(at).starts_with(kEntry)) return std::nullopt;
    const std::size_t name = Number(block, at + 28, 2);
    const std::size_t extra = Number(block, at + 30, 2);
    const std::size_t length = kEntryBytes + name + extra + Number(block, at + 32, 2);
    // Three lengths of two bytes each: three blocks at most.
    if (length > left || !(has(length) || has(length) || has(length))) return std::nullopt;
    const std::string_view entry = std::string_view(block).substr(at, length);
    const auto offset = OffsetOf(entry, entry.substr(kEntryBytes + name, extra));
    if (!offset || *offset >= directory->begin) return std::nullopt;
    const bool link =
        Number(entry, 5, 1) == kUnix && (Number(entry, 40, 2) & kKindBits) == kLinkBits;
    listing.entries_.push_back(2 * *offset + (link ? 1 : 0));
    at += length;
    left -= length;
  }
  listing.entries_.shrink_to_fit();
  std::sort(listing.entries_.begin(), listing.entries_.end());
  return listing;
}

ZipListing::Kind ZipListing::KindAt(std::uint64_t offset) const {
  const auto found = std::lower_bound(entries_.begin(), entries_.end(), 2 * offset);
  if (found == entries_.end() || *found / 2 != offset) return Kind::kUnlisted;
  return *found % 2 == 1 ? Kind::kLink : Kind::kFile;
}

}  // namespace ohmglow
