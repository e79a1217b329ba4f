// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"
#include "rank/heat_form.h"

namespace ohmglow {

/// Parts below are not worth a line.
inline constexpr double kLeastPartProb = 0.02;

/// Which part sits where the heat is, and how probable each is.
struct PartsThere {
  std::vector<PartMatch> parts;  ///< Most probable first; at most four, each above 2 %.
  double prob_none = 1;          ///< That none of the listed parts is it.
  double prob_this_side = 0.5;   ///< Share of the probability on the camera's side.
  /// Where the heat is made, what sits there taken into account [mm], and the
  /// standard error of that, per axis.
  Point place_mm;
  double place_sigma_mm = 0;
};

/// Posterior over the parts list, and over the sides, for a source whose place
/// is Gaussian with `sigma_mm` around `place_mm`. A chip is hot as a whole or at an
/// end, a circuit on its die or at a pin; whatever is no part is spread evenly. Each part speaks
/// for itself: how likely its kind is to short, where its heat comes out, and how wide and quick it
/// would show (PartForm).
/// @param parts     may be empty: then the form alone tells the side.
/// @param far_prob  probability that a source is on the other side, before
///                  place and form are looked at.
/// @param form      what was measured; unknown: it tells nothing.
[[nodiscard]] PartsThere MatchParts(const std::vector<Part>& parts,
                                    Point place_mm,
                                    double sigma_mm,
                                    BoardSide camera_side,
                                    double far_prob,
                                    const HeatForm& form = {});

}  // namespace ohmglow
