// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "ohmglow/input/frame_source.h"

namespace ohmglow {

/// A capture whose pixels are the means of squares of the sensor's. Rows and columns that fill
/// no whole square are left out, at the right and at the bottom.
class BinnedFrames final : public FrameSource {
 public:
  /// @param binning  side of a square [px]; 1 to the frames' shorter side.
  BinnedFrames(std::shared_ptr<FrameSource> whole, int binning);
  [[nodiscard]] int count() const override { return whole_->count(); }
  [[nodiscard]] cv::Size size_px() const override;
  [[nodiscard]] FrameValues values() const override { return whole_->values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return whole_->range(); }
  /// A square with one pixel that has no value has none: it may be the hottest.
  void Read(int index, Image& kelvin) override;
  [[nodiscard]] std::string Problem(int index) const override { return whole_->Problem(index); }

 private:
  std::shared_ptr<FrameSource> whole_;
  int binning_;
  Image frame_k_;
};

}  // namespace ohmglow
