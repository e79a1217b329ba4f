// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <memory>
#include <string>

#include "ohmglow/input/measured_frames.h"

namespace ohmglow {

/// Frames of a recording that may be damaged in part: one that cannot be read has
/// no values (all NaN) and says why, as long as that is a tenth of them at most.
class ReadableFrames final : public MeasuredFrames {
 public:
  explicit ReadableFrames(std::unique_ptr<MeasuredFrames> frames);

  [[nodiscard]] int count() const override { return frames_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return frames_->size_px(); }
  [[nodiscard]] FrameValues values() const override { return frames_->values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return frames_->range(); }
  /// @throws InputError  at the frame with which more than a tenth are lost.
  void Read(int index, Image& kelvin) override;
  [[nodiscard]] std::string Problem(int index) const override;
  [[nodiscard]] const SurfaceOptions& surface() const override { return frames_->surface(); }
  [[nodiscard]] std::optional<CountSteps> steps() const override { return frames_->steps(); }

 private:
  std::unique_ptr<MeasuredFrames> frames_;
  std::map<int, std::string> problems_;
};

}  // namespace ohmglow
