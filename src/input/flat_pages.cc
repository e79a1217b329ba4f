// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "flat_pages.h"

#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {

FlatPages::FlatPages(ByteSource file, Layout layout)
    : file_(std::move(file)), layout_(std::move(layout)) {
  const std::uint64_t bytes = PageBytes();
  const auto fits = [&](int page) {
    return Offset(page) <= file_.size() && bytes <= file_.size() - Offset(page);
  };
  const int all = layout_.count;
  int whole = all;
  while (whole > 0 && !fits(whole - 1)) --whole;
  lost_ = all - whole;
  if (!FewLost(lost_, all)) {
    throw InputError(PageName(file_.name(), whole) + ": the file is cut short here (" +
                     std::to_string(file_.size()) + " of " + std::to_string(Offset(whole) + bytes) +
                     " bytes); copy it again");
  }
  layout_.count = whole;
}

std::uint64_t FlatPages::Offset(int page) const {
  if (!layout_.offsets.empty()) return layout_.offsets[static_cast<std::size_t>(page)];
  return layout_.first_offset + static_cast<std::uint64_t>(page) * layout_.stride_bytes;
}

std::uint64_t FlatPages::PageBytes() const {
  return static_cast<std::uint64_t>(layout_.size_px.width) *
         static_cast<std::uint64_t>(layout_.size_px.height) * SampleBytes(layout_.sample.type);
}

void FlatPages::Read(int page, cv::Mat& counts) {
  samples_.resize(static_cast<std::size_t>(PageBytes()));
  file_.Read(Offset(page), samples_.size(), samples_.data(), PageName(file_.name(), page));
  if (layout_.columns) {
    cv::Mat turned(layout_.size_px.width, layout_.size_px.height, type());
    ToCounts(samples_.data(), layout_.sample, turned);
    cv::transpose(turned, counts);
  } else {
    counts.create(layout_.size_px, type());
    ToCounts(samples_.data(), layout_.sample, counts);
  }
  if (layout_.bottom_up) cv::flip(counts, counts, 0);
}

std::vector<std::string> FlatPages::Notes() const {
  if (lost_ == 0) return {};
  return {CutOffNote(file_.name(), lost_, lost_ + count())};
}

}  // namespace ohmglow
