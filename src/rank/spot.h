// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "rank/course.h"
#include "rank/part_match.h"
#include "rank/peaks.h"
#include "rank/spot_model.h"
#include "rank/spot_shape.h"

namespace ohmglow {

/// All that was measured at one peak of the response map.
struct Spot {
  Peak peak;  ///< Height: signal-to-noise ratio of the detector.
  double snr = 0;
  double mm_per_pixel = 0.5;  ///< At the place.
  double rise_k = 0;
  double rise_z = 0;  ///< Of a cautious estimate of the rise, over its noise.
  SpotShape shape;
  /// Most that the heat is wide, as the detector's best size tells; of faint heat the patch that
  /// `shape` measures is noise.
  double most_width_px = 1e9;
  CourseFit course;
  SpotFit fit;
  double power_w = 0;
  double log_on_line = -30;       ///< LogLine() of a stronger place, on whose line it lies ...
  double on_line_mm = 0;          ///< ... and how long that is.
  double halo_ratio = 0;          ///< Expected halo of a stronger spot over this peak's height.
  double far_prob = 0.5;          ///< That the source is on the other side.
  bool at_rim = false;            ///< Beside what not every frame saw: its middle may lie there.
  double rival_mm = 1e9;          ///< To the closest stronger peak.
  double contact_mm = 1e9;        ///< To the closest lead contact.
  Point place_px;                 ///< The peak or, with a parts list, what that makes of it ...
  double place_sigma_px = 0;      ///< ... and its standard error, per axis.
  std::optional<Point> board_mm;  ///< Of `place_px`.
  std::optional<bool> on_board;   ///< Unknown without a parts list and a board map.
  PartsThere parts;
  double spread_ratio = 0;    ///< Heat of contacts and coils that may come out here over its power.
  double share = 0;           ///< Of the supply's power; 0 where that is not known.
  double contacts_known = 1;  ///< Of the path's two lead contacts, the share that is marked.
  double carrier_prob = 0;    ///< That it is a coil or the like, which the current warms anyway.
};

/// Whether a place stands out so far that the patch warmer than half of it shows its shape.
[[nodiscard]] inline bool ShapeIsClear(const Spot& spot) {
  constexpr double kLeastSnr = 20;
  return spot.snr > kLeastSnr;
}

/// Whether heat that a line fits best is a pour that warms as a whole: no longer than the patch is
/// wide, and more of the supply's power than a track takes that leads to a short.
/// @param supply_w  what the supply gives; 0 where that is not known.
[[nodiscard]] inline bool IsPour(const Spot& spot, double supply_w) {
  // Leads, contacts and tracks have a few hundredths each (common practice, no source).
  constexpr double kMostOfTrack = 0.2;
  const double across_mm = spot.mm_per_pixel * spot.shape.length_px / spot.shape.elongation;
  const HeatLine& line = spot.fit.line;
  return supply_w > 0 && line.power_w > kMostOfTrack * supply_w && line.length_mm <= across_mm;
}

}  // namespace ohmglow
