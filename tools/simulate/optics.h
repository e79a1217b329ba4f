// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "scenario.h"

namespace ohmglow::simulate {

/// A pinhole that looks at a plane.
struct View {
  cv::Size size_px;
  Point center_mm;            ///< Board place in the middle of the frame.
  double mm_per_pixel = 0.5;  ///< There.
  double rotation_deg = 0;
  double tilt_deg = 0;
  double tilt_direction_deg = 0;
  double fov_deg = 35;
  bool mirrored = false;  ///< The bottom: x runs the other way.
};

/// Board millimetres to frame pixels of a view.
[[nodiscard]] PlaneMap FrameFromBoard(const View& view);

/// Draws a scene given on the fine grid as the camera sees it: each frame is
/// sampled from the scene itself at 3 x 3 places a pixel, then blurred by the
/// optics' Gaussian and summed over the pixel; no frame is ever resampled.
class Optics {
 public:
  Optics(cv::Size size_px, double blur_px);

  /// @param scene  values on the fine grid (surface.h).
  /// @param frame_from_board  for this very frame, motion included.
  void Draw(const Image& scene, const PlaneMap& frame_from_board, Image& frame) const;

 private:
  static constexpr int kOver = 3;  // Samples a pixel, each way.

  cv::Size size_px_;
  int reach_ = 0;              // Samples beyond the pixel's own.
  std::vector<float> kernel_;  // Blur and pixel box together, kOver + 2 reach_ long.
};

}  // namespace ohmglow::simulate
