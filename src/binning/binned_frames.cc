// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binning/binned_frames.h"

#include <opencv2/imgproc.hpp>
#include <utility>

namespace ohmglow {

BinnedFrames::BinnedFrames(std::shared_ptr<FrameSource> whole, int binning)
    : whole_(std::move(whole)), binning_(binning) {}

cv::Size BinnedFrames::size_px() const {
  const cv::Size whole = whole_->size_px();
  return {whole.width / binning_, whole.height / binning_};
}

void BinnedFrames::Read(int index, Image& kelvin) {
  whole_->Read(index, frame_k_);
  const cv::Size size = size_px();
  if (frame_k_.empty()) {
    kelvin.release();
    return;
  }
  const Image squares = frame_k_(cv::Rect(0, 0, size.width * binning_, size.height * binning_));
  cv::resize(squares, kelvin, size, 0, 0, cv::INTER_AREA);
}

}  // namespace ohmglow
