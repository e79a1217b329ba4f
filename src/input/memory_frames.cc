// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "ohmglow/base/error.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow {

MemoryFrames::MemoryFrames(std::vector<Image> frames_k) : frames_k_(std::move(frames_k)) {
  if (frames_k_.empty()) throw DataError("a series needs at least one frame");
  for (const Image& frame : frames_k_) {
    if (frame.size() != frames_k_.front().size()) throw DataError("frames differ in size");
  }
}

int MemoryFrames::count() const { return static_cast<int>(frames_k_.size()); }

cv::Size MemoryFrames::size_px() const { return frames_k_.front().size(); }

void MemoryFrames::Read(int index, Image& kelvin) {
  frames_k_.at(static_cast<std::size_t>(index)).copyTo(kelvin);
}

}  // namespace ohmglow
