// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "ohmglow/input/case.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow::internal {

/// Every n-th frame of a capture, the first one among them.
class ThinnedFrames final : public FrameSource {
 public:
  /// @param step  >= 1.
  ThinnedFrames(std::shared_ptr<FrameSource> all, int step) : all_(std::move(all)), step_(step) {}
  [[nodiscard]] int count() const override { return (all_->count() + step_ - 1) / step_; }
  [[nodiscard]] cv::Size size_px() const override { return all_->size_px(); }
  [[nodiscard]] FrameValues values() const override { return all_->values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return all_->range(); }
  void Read(int index, Image& kelvin) override { all_->Read(index * step_, kelvin); }
  [[nodiscard]] std::string Problem(int index) const override {
    return all_->Problem(index * step_);
  }

 private:
  std::shared_ptr<FrameSource> all_;
  int step_;
};

/// The same case with every n-th of its frames, and their times.
[[nodiscard]] Case Thinned(const Case& job, int step);

}  // namespace ohmglow::internal
