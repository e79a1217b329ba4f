// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// What the numbers of frames are.
enum class FrameValues {
  kKelvin,    ///< Object temperature.
  kRelative,  ///< Higher is warmer, and evenly so within a frame; scale and zero unknown, and
              ///< perhaps other ones in each frame: pictures, video, counts of unknown scale.
};

/// Least and largest value that a frame can show: what lies beyond stands at them.
struct ValueRange {
  double low = 0;
  double high = 0;
};

/// A series of thermal frames, read one at a time so that memory does not
/// grow with their number. Reading in rising order is the fast way; any order
/// works, and the same index always gives the same pixels.
class FrameSource {
 public:
  virtual ~FrameSource() = default;

  [[nodiscard]] virtual int count() const = 0;         ///< Frames, >= 1.
  [[nodiscard]] virtual cv::Size size_px() const = 0;  ///< Width, height.
  [[nodiscard]] virtual FrameValues values() const { return FrameValues::kKelvin; }
  /// Set for pictures, whose scale is most likely made anew for each frame.
  [[nodiscard]] virtual std::optional<ValueRange> range() const { return std::nullopt; }
  /// Reads frame `index` (0 .. count-1) as object temperature [K], or as values().
  /// Pixels at the end of the counts' range (saturated) are NaN.
  /// @throws InputError  naming file and page where it cannot be read.
  virtual void Read(int index, Image& kelvin) = 0;
  /// Why frame `index` has no values, where its last reading gave none; else empty.
  [[nodiscard]] virtual std::string Problem(int /*index*/) const { return {}; }
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
