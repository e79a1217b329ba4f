// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/align/alignment.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/align/registration_verdict.h"
#include "ohmglow/base/image.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"

namespace ohmglow {

/// How far one part of the picture still wanders after registration.
struct LocalShift {
  cv::Rect tile_px;                   ///< In the reference frame.
  std::optional<double> leftover_px;  ///< Rms over the capture; unset: too little texture to tell.
  double sigma_px = 0;                ///< Standard error of one time bin's shift there.
};

/// One line of the picture through time: row i is the line in frame `frames[i]`.
/// Where frames lie on each other, edges run straight down.
struct LineInTime {
  bool is_row = true;       ///< A row of the frame, else a column.
  int line = 0;             ///< Which one, in reference-frame pixels.
  std::vector<int> frames;  ///< Rising.
  Image before_k;           ///< As filmed, each frame's own median taken out [K].
  Image after_k;            ///< Registered; NaN where the frame did not see the place [K].
};

/// What tells whether the frames lie on each other.
struct RegistrationCheck {
  std::string title;
  std::string case_file;
  std::vector<double> frame_times_s;
  double mm_per_pixel = 0;
  Alignment alignment;
  BoardMaps maps;

  RegistrationVerdict verdict = RegistrationVerdict::kNotTold;
  double error_px = 0;            ///< Expected error of a frame, median (FrameState::residual_px).
  double large_error_px = 0;      ///< The same, 95 % of the frames are better.
  std::vector<LocalShift> tiles;  ///< Row by row.
  std::optional<double> leftover_px;        ///< Median of the tiles that tell.
  std::optional<double> worst_leftover_px;  ///< Of the tile that wanders most.

  Image static_k;      ///< Mean of the registered frames [K].
  Image residual_k;    ///< Rms over the capture of what is left of fine detail [K].
  double noise_k = 0;  ///< What noise alone would leave there [K].
  LineInTime row;
  LineInTime column;
  /// Relative: what is in kelvin above is a share of the scene's spread, the 95 % quantile
  /// less the 5 % quantile of static_k.
  FrameValues values = FrameValues::kKelvin;
};

/// Registers the frames as Locate() does and looks at what is left.
///
/// The verdict rests on the expected errors, see JudgeRegistration(). The leftover
/// shift of a tile is what edges seem to wander in the means of consecutive registered
/// frames, the input of all later fits: beside errors of the motion, what one motion for
/// the whole frame cannot follow, what is left of the sensor's pattern, and edges that
/// warm. It is an upper bound rather than an estimate and does not enter the verdict.
/// @throws DataError  where fewer than 12 frames can be used.
[[nodiscard]] RegistrationCheck CheckRegistration(const Case& job, const LocateOptions& options);

}  // namespace ohmglow
