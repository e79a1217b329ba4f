// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tiff_directories.h"

#include <string>
#include <unordered_set>

#include "count_pages.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::uint64_t kTagWidth = 256;
constexpr std::uint64_t kTagLength = 257;
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
    std::uint64_t width = 0;
    std::uint64_t height = 0;
    for (std::size_t at = 0; at < length; at += entry_size) {
      const std::uint64_t tag = Number(table, at, 2);
      if (tag == kTagWidth) width = Value(table, at);
      if (tag == kTagLength) height = Value(table, at);
    }
    CheckSize(PageName(file_.name(), page - 1),
              static_cast<long long>(width & 0xFFFFFFFFU),
              static_cast<long long>(height & 0xFFFFFFFFU));
    directory.size_px = cv::Size(static_cast<int>(width), static_cast<int>(height));
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

}  // namespace

std::vector<TiffDirectory> ListTiffDirectories(const ByteSource& file) {
  Walker walker(file);
  std::vector<TiffDirectory> pages;
  std::unordered_set<std::uint64_t> seen;
  for (std::uint64_t offset = walker.first(); offset != 0;) {
    const int page = static_cast<int>(pages.size()) + 1;
    if (!seen.insert(offset).second || pages.size() >= kMostPages) {
      throw InputError(PageName(file.name(), page - 1) +
                       ": the pages follow each other in a circle; write the file again");
    }
    TiffDirectory directory;
    offset = walker.Read(offset, page, directory);
    if (!pages.empty() && directory.size_px != pages.front().size_px) {
      throw InputError(PageName(file.name(), page - 1) + ": is " + Shape(directory.size_px) +
                       " px but page 1 is " + Shape(pages.front().size_px) +
                       " px; all frames must be of one size (remove thumbnails and previews)");
    }
    pages.push_back(directory);
  }
  if (pages.empty()) throw InputError(file.name() + ": holds no page; copy it again");
  return pages;
}

}  // namespace ohmglow
