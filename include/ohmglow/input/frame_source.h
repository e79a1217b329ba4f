// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <opencv2/core.hpp>
#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// A series of thermal frames, read one at a time so that memory does not
/// grow with their number. Reading in rising order is the fast way; any order
/// works, and the same index always gives the same pixels.
class FrameSource {
 public:
  virtual ~FrameSource() = default;

  [[nodiscard]] virtual int count() const = 0;         ///< Frames, >= 1.
  [[nodiscard]] virtual cv::Size size_px() const = 0;  ///< Width, height.
  /// Reads frame `index` (0 .. count-1) as object temperature [K].
  /// Pixels at the end of the counts' range (saturated) are NaN.
  /// @throws InputError  naming file and page where it cannot be read.
  virtual void Read(int index, Image& kelvin) = 0;
};

/// Frames already in memory (tests, library users).
class MemoryFrames final : public FrameSource {
 public:
  /// @param frames_k  at least one frame [K], all of one size.
  explicit MemoryFrames(std::vector<Image> frames_k);
  [[nodiscard]] int count() const override;
  [[nodiscard]] cv::Size size_px() const override;
  void Read(int index, Image& kelvin) override;

 private:
  std::vector<Image> frames_k_;
};

}  // namespace ohmglow
