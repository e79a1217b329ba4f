// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "ohmglow/input/frame_source.h"
#include "ohmglow/input/radiometry.h"
#include "ohmglow/input/surface_region.h"

namespace ohmglow {

/// The steps in which whole numbers hold what the camera saw: value = zero + scale x
/// whole number, an apparent temperature [K], or the signal where the surface's band
/// is a curve.
struct CountSteps {
  double scale = 0.01;
  double zero = 0;
};

/// Frames of temperature that tell how they came from what the camera saw.
class MeasuredFrames : public FrameSource {
 public:
  /// All that was taken out on the way to object temperature.
  [[nodiscard]] virtual const SurfaceOptions& surface() const = 0;
  /// Unset where the camera's numbers are floats, or a table gives their meaning.
  [[nodiscard]] virtual std::optional<CountSteps> steps() const = 0;
  /// Where emissivity is another one; a later region lies over those before it. Not taken out of
  /// the frames, whose pixels move over the board: Locate() scales what it measured there.
  [[nodiscard]] const std::vector<SurfaceRegion>& surface_regions() const { return regions_; }
  void SetSurfaceRegions(std::vector<SurfaceRegion> regions) { regions_ = std::move(regions); }

 private:
  std::vector<SurfaceRegion> regions_;
};

/// Those of a capture; none where its frames are no temperatures.
[[nodiscard]] inline std::vector<SurfaceRegion> SurfaceRegionsOf(const FrameSource* frames) {
  const auto* const measured = dynamic_cast<const MeasuredFrames*>(frames);
  return measured == nullptr ? std::vector<SurfaceRegion>() : measured->surface_regions();
}

}  // namespace ohmglow
