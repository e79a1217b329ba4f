// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/align/board_maps.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Which part sits where the heat is, and how probable each is.
struct PartsThere {
  std::vector<PartMatch> parts;  ///< Most probable first; at most four, each above 2 %.
  double prob_none = 1;          ///< That none of the listed parts is it.
  double prob_this_side = 0.5;   ///< Share of the probability on the camera's side.
};

/// Posterior over the parts list for a source whose place is Gaussian with
/// `sigma_mm` around `place_mm`. A part may dissipate anywhere within its
/// outline, most likely at its middle; whatever is no part is spread evenly.
/// @param far_prob  probability that the source is on the other side.
[[nodiscard]] PartsThere MatchParts(const std::vector<Part>& parts,
                                    Point place_mm,
                                    double sigma_mm,
                                    BoardSide camera_side,
                                    double far_prob);

}  // namespace ohmglow
