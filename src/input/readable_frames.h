// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <memory>
#include <string>
#include <utility>

#include "ohmglow/input/measured_frames.h"

namespace ohmglow {

/// Frames of a recording that may be damaged in part: one that cannot be read has
/// no values (all NaN) and says why, as long as that is a tenth of them at most.
class ReadableFrames final : public FrameSource {
 public:
  explicit ReadableFrames(std::unique_ptr<FrameSource> frames) : frames_(std::move(frames)) {}

  [[nodiscard]] int count() const override { return frames_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return frames_->size_px(); }
  [[nodiscard]] FrameValues values() const override { return frames_->values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return frames_->range(); }
  /// @throws InputError  at the frame with which more than a tenth are lost.
  void Read(int index, Image& kelvin) override;
  [[nodiscard]] std::string Problem(int index) const override;

 private:
  std::unique_ptr<FrameSource> frames_;
  std::map<int, std::string> problems_;
};

/// The same of temperatures.
class ReadableTemperatures final : public MeasuredFrames {
 public:
  explicit ReadableTemperatures(std::unique_ptr<MeasuredFrames> frames)
      : measured_(*frames), frames_(std::move(frames)) {}

  [[nodiscard]] int count() const override { return frames_.count(); }
  [[nodiscard]] cv::Size size_px() const override { return frames_.size_px(); }
  [[nodiscard]] FrameValues values() const override { return frames_.values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return frames_.range(); }
  void Read(int index, Image& kelvin) override { frames_.Read(index, kelvin); }
  [[nodiscard]] std::string Problem(int index) const override { return frames_.Problem(index); }
  [[nodiscard]] const SurfaceOptions& surface() const override { return measured_.surface(); }
  [[nodiscard]] std::optional<CountSteps> steps() const override { return measured_.steps(); }

 private:
  const MeasuredFrames& measured_;  // Owned by `frames_`.
  ReadableFrames frames_;
};

}  // namespace ohmglow
