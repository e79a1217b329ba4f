// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tiff_directories.h"

#include <algorithm>
#include <map>
#include <string>
#include <unordered_set>
#include <utility>

#include "count_pages.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::uint64_t kTagWidth = 256;
constexpr std::uint64_t kTagLength = 257;
constexpr std::uint64_t kTagDateTime = 306;
constexpr std::uint64_t kStampBytes = 20;  // "2026:11:28 18:05:00" and its end.
constexpr std::uint64_t kTypeShort = 3;
constexpr std::size_t kMostPages = 10'000'000;

// Reads numbers of either byte order.
class Walker {
 public:
  explicit Walker(const ByteSource& file) : file_(file) {
    std::string header = Bytes(0, 8, 1);
    little_ = header[0] == 'I';
    big_ = Number(header, 2, 2) == 43;
    first_ = big_ ? Number(Bytes(8, 8, 1), 0, 8) : Number(header, 4, 4);
  }

  [[nodiscard]] std::uint64_t first() const { return first_; }

  // Reads the directory of page `page`; gives the offset of the next, 0 at the end.
  std::uint64_t Read(std::uint64_t offset, int page, TiffDirectory& directory) {
    const std::size_t count_size = big_ ? 8 : 2;
    const std::size_t entry_size = big_ ? 20 : 12;
    const std::uint64_t entries = Number(Bytes(offset, count_size, page), 0, count_size);
    if (entries == 0 || entries > 4096) Damaged(page);
    const std::size_t length = static_cast<std::size_t>(entries) * entry_size;
    const std::string table = Bytes(offset + count_size, length + (big_ ? 8 : 4), page);
    directory.offset = offset;
    directory.stamp_offset = 0;
    std::uint64_t width = 0;
    std::uint64_t height = 0;
    for (std::size_t at = 0; at < length; at += entry_size) {
      const std::uint64_t tag = Number(table, at, 2);
      if (tag == kTagWidth) width = Value(table, at);
      if (tag == kTagLength) height = Value(table, at);
      if (tag == kTagDateTime && Number(table, at + 4, big_ ? 8 : 4) >= kStampBytes) {
        directory.stamp_offset = Number(table, at + (big_ ? 12 : 8), big_ ? 8 : 4);
      }
    }
    CheckSize(PageName(file_.name(), page - 1),
              static_cast<long long>(width & 0xFFFFFFFFU),
              static_cast<long long>(height & 0xFFFFFFFFU));
    directory.page = page - 1;
    directory.width_px = static_cast<std::int16_t>(width);
    directory.height_px = static_cast<std::int16_t>(height);
    return Number(table, length, big_ ? 8 : 4);
  }

 private:
  [[noreturn]] void Damaged(int page) const {
    throw InputError(PageName(file_.name(), page - 1) +
                     ": the file is damaged here (no valid directory); copy it again");
  }

  [[nodiscard]] std::uint64_t Value(const std::string& table, std::size_t at) const {
    const std::size_t size = Number(table, at + 2, 2) == kTypeShort ? 2 : 4;
    return Number(table, at + (big_ ? 12 : 8), size);
  }

  std::string Bytes(std::uint64_t offset, std::size_t size, int page) {
    std::string bytes = file_.Peek(offset, size);
    if (bytes.size() != size) {
      throw InputError(PageName(file_.name(), page - 1) +
                       ": the file is cut short here; copy it again, or drop the last pages");
    }
    return bytes;
  }

  [[nodiscard]] std::uint64_t Number(const std::string& bytes,
                                     std::size_t at,
                                     std::size_t size) const {
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < size; ++i) {
      const std::size_t from = at + (little_ ? size - 1 - i : i);
      value = (value << 8U) | static_cast<unsigned char>(bytes[from]);
    }
    return value;
  }

  ByteSource file_;
  bool little_ = true;
  bool big_ = false;
  std::uint64_t first_ = 0;
};

std::string Shape(cv::Size size) {
  return std::to_string(size.width) + " x " + std::to_string(size.height);
}

// Whether an offset was seen before. Nearly all files hold their pages in rising
// order, where nothing must be kept for that.
class Seen {
 public:
  bool Insert(std::uint64_t offset, const std::deque<TiffDirectory>& pages) {
    if (rising_ && (pages.empty() || offset > pages.back().offset)) return true;
    if (rising_) {
      rising_ = false;
      for (const TiffDirectory& page : pages) offsets_.insert(page.offset);
    }
    return offsets_.insert(offset).second;
  }

 private:
  bool rising_ = true;
  std::unordered_set<std::uint64_t> offsets_;
};

// The size that most pages have; of two, the larger picture.
cv::Size UsualSize(const std::deque<TiffDirectory>& pages) {
  std::map<std::pair<int, int>, int> counts;
  for (const TiffDirectory& page : pages) ++counts[{page.width_px, page.height_px}];
  const auto usual =
      std::max_element(counts.begin(), counts.end(), [](const auto& a, const auto& b) {
        if (a.second != b.second) return a.second < b.second;
        return a.first.first * a.first.second < b.first.first * b.first.second;
      });
  return {usual->first.first, usual->first.second};
}

void KeepOneSize(const ByteSource& file, TiffIndex& index) {
  const cv::Size usual = UsualSize(index.pages);
  const auto other = [&](const TiffDirectory& page) { return page.size_px() != usual; };
  const auto first = std::find_if(index.pages.begin(), index.pages.end(), other);
  if (first == index.pages.end()) return;
  const auto count = std::count_if(index.pages.begin(), index.pages.end(), other);
  index.notes.push_back(PageName(file.name(), first->page) + ": is " + Shape(first->size_px()) +
                        " px where most pages are " + Shape(usual) + " px; " +
                        (count == 1 ? std::string("it is") : std::to_string(count) + " such are") +
                        " left out");
  std::erase_if(index.pages, other);
}

}  // namespace

TiffIndex IndexTiff(const ByteSource& file) {
  Walker walker(file);
  TiffIndex index;
  Seen seen;
  for (std::uint64_t offset = walker.first(); offset != 0;) {
    const int page = static_cast<int>(index.pages.size()) + 1;
    if (!seen.Insert(offset, index.pages) || index.pages.size() >= kMostPages) {
      throw InputError(PageName(file.name(), page - 1) +
                       ": the pages follow each other in a circle; write the file again");
    }
    TiffDirectory directory;
    try {
      offset = walker.Read(offset, page, directory);
    } catch (const InputError&) {
      // A recording that broke off: what lies behind is gone, how much nobody knows.
      if (!FewLost(1, page)) throw;
      index.cut_off = true;
      index.notes.push_back(file.name() + ": the recording is cut off after page " +
                            std::to_string(page - 1) + "; it is used as far as it goes");
      break;
    }
    index.pages.push_back(directory);
  }
  if (index.pages.empty()) throw InputError(file.name() + ": holds no page; copy it again");
  KeepOneSize(file, index);
  return index;
}

}  // namespace ohmglow
