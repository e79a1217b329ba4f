// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/result.h"
#include "twosided/board_place.h"
#include "twosided/pair_view.h"

namespace ohmglow {

/// A place decided from both captures, in the coordinates of the first.
struct JoinedPlace {
  Candidate candidate;  ///< Without confidence.
  double log_odds = 0;  ///< That a fault dissipates here against no fault in sight.
  /// What the captures disagree on; it stands in the remarks as well.
  std::vector<Remark> conflicts;
};

/// Decides side, place, part, power and odds of one pair.
/// @param pair  one of the two is set.
/// @param decided_prob  probability from which the side counts as decided.
[[nodiscard]] JoinedPlace JoinPlace(const Capture& seen,
                                    const Capture& other,
                                    const PlacePair& pair,
                                    double decided_prob);

}  // namespace ohmglow
