// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/result.h"
#include "ohmglow/words/words.h"
#include "picture/axis.h"

namespace ohmglow::internal {

/// A band around a curve; all three of one length, x alike.
struct BandedCurve {
  std::vector<Point> middle;
  std::vector<Point> low;
  std::vector<Point> high;
};

/// A level of the current, with the 95 % interval of what it makes of the rise.
struct LevelBar {
  double amps_a = 0;
  double rise = 0;
  double low = 0;
  double high = 0;
};

/// All that the plot of a candidate's growth shows, as numbers, apart from
/// drawing so that they can be tested. Rises are in `rise_unit`.
struct GrowthNumbers {
  std::string rise_unit;  ///< "K", "mK" or, of the largest, "%".
  AxisRange time_s;
  AxisRange rise;
  AxisRange area_mm2;
  AxisRange amps_a;  ///< Of both plots.
  AxisRange level_rise;
  std::vector<Point> measured;  ///< Time, rise.
  BandedCurve fit;              ///< 95 % band; empty where nothing was fitted.
  std::vector<Point> area;      ///< Time, mm2.
  std::vector<Point> steps;     ///< Time, A: corners of the staircase.
  std::vector<LevelBar> levels;
  BandedCurve power_law;  ///< A, rise: current to the fitted exponent, 95 % band of that.
};

/// @return  without points where the candidate has no course.
[[nodiscard]] GrowthNumbers MakeGrowthNumbers(const LocateResult& result,
                                              const Candidate& candidate);

/// What the exponent means, a sentence or two; empty where it is unknown.
[[nodiscard]] std::string ExponentWords(const Candidate& candidate,
                                        const Words& words = Words::Report());

}  // namespace ohmglow::internal
