// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "ohmglow/input/frame_source.h"

namespace ohmglow::internal {

/// Frames that are decoded once and kept, where all of them are few enough;
/// longer captures are read anew each time, in constant memory.
class RememberedFrames final : public FrameSource {
 public:
  /// @param frames      outlives this.
  /// @param most_bytes  of all frames together, or none is kept.
  explicit RememberedFrames(FrameSource& frames, std::size_t most_bytes = std::size_t{64} << 20U);
  [[nodiscard]] int count() const override { return frames_.count(); }
  [[nodiscard]] cv::Size size_px() const override { return frames_.size_px(); }
  [[nodiscard]] FrameValues values() const override { return frames_.values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return frames_.range(); }
  void Read(int index, Image& kelvin) override;
  [[nodiscard]] std::string Problem(int index) const override;

 private:
  struct Kept {
    Image kelvin;
    std::string problem;
  };

  FrameSource& frames_;
  std::vector<Kept> kept_;  // Empty where frames are not kept.
};

}  // namespace ohmglow::internal
