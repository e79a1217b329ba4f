// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "flat_pages.h"

#include <bit>
#include <cstring>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

std::uint64_t PageBytes(cv::Size size_px, int type) {
  return static_cast<std::uint64_t>(size_px.width) * static_cast<std::uint64_t>(size_px.height) *
         static_cast<std::uint64_t>(CV_ELEM_SIZE(type));
}

// Reverses the bytes of every sample.
void SwapBytes(cv::Mat& counts) {
  const std::size_t size = counts.elemSize();
  unsigned char* const bytes = counts.ptr();
  for (std::size_t at = 0; at < counts.total() * size; at += size) {
    for (std::size_t i = 0; i < size / 2; ++i) {
      std::swap(bytes[at + i], bytes[at + size - 1 - i]);
    }
  }
}

}  // namespace

FlatPages::FlatPages(ByteSource file, Layout layout)
    : file_(std::move(file)), layout_(std::move(layout)) {
  const std::uint64_t bytes = PageBytes(layout_.size_px, layout_.type);
  for (int page = 0; page < count(); ++page) {
    const std::uint64_t end = layout_.offsets[static_cast<std::size_t>(page)] + bytes;
    if (end > file_.size()) {
      throw InputError(PageName(file_.name(), page) + ": the file is cut short here (" +
                       std::to_string(file_.size()) + " of " + std::to_string(end) +
                       " bytes); copy it again");
    }
  }
}

void FlatPages::Read(int page, cv::Mat& counts) {
  counts.create(layout_.size_px, layout_.type);
  file_.Read(layout_.offsets[static_cast<std::size_t>(page)],
             static_cast<std::size_t>(PageBytes(layout_.size_px, layout_.type)),
             counts.ptr(),
             PageName(file_.name(), page));
  const bool host_is_big = std::endian::native == std::endian::big;
  if (layout_.big_endian != host_is_big) SwapBytes(counts);
}

FlatPages::Layout ReadRawLayout(const ByteSource& file, RawSize size) {
  FlatPages::Layout layout;
  layout.type = CV_16U;
  layout.size_px = {size.width_px, size.height_px};
  const std::uint64_t frame = PageBytes(layout.size_px, layout.type);
  const std::uint64_t total = file.size();
  if (total == 0 || total % frame != 0) {
    throw InputError(file.name() + ": has " + std::to_string(total) +
                     " bytes, no whole number of frames of " + std::to_string(size.width_px) +
                     " x " + std::to_string(size.height_px) +
                     " px at 2 bytes; check frames.width_px and frames.height_px");
  }
  for (std::uint64_t offset = 0; offset < total; offset += frame) layout.offsets.push_back(offset);
  return layout;
}

}  // namespace ohmglow
