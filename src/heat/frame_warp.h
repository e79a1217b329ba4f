// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// A picture seen under an affine map that hardly turns and hardly scales, as
/// those of frames of one capture: each row falls into a few runs in which the
/// whole part of the shift stands still, and a run is plain vector code. Places
/// are exact, where a table of 1/32 px would be off by up to 1/64 px. Beyond
/// its border a picture goes on as it ends there.
class Warp {
 public:
  /// @param from_onto  source pixel of a target pixel.
  /// @param size_px    of source and target.
  Warp(const cv::Matx23d& from_onto, cv::Size size_px);

  /// Adds the bicubic interpolation (Keys, IEEE Trans. Acoust. 29 (1981)
  /// 1153-1160, with a = -0.75).
  void AddCubic(const Image& from, Image& onto) const;

  /// Adds `factor` times the bilinear interpolation to some rows.
  /// @param onto  first_row's first value; rows follow one another.
  void AddLinear(const Image& from, float factor, int first_row, int num_rows, float* onto) const;

  /// The transpose of AddLinear(): spreads `factor` times some rows of a target
  /// over the source.
  void SpreadLinear(
      const float* onto, float factor, int first_row, int num_rows, Image& from) const;

 private:
  cv::Matx23d map_;
  cv::Size size_px_;
};

}  // namespace ohmglow
