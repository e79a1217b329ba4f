// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// How one capture sees a place of the board.
struct PlaceView {
  bool filmed = true;       ///< The capture shows the place at all.
  double rise_k = 0;        ///< At the reference current; may be negative where nothing is seen.
  double rise_sigma_k = 0;  ///< Its standard error.
  std::optional<double> width_mm;
  /// Share of the rise of five seconds after the last step up that comes in the first.
  std::optional<double> quickness;
  double contact = 0;                     ///< How clearly a lead contact is marked there, 0 .. 1.
  HeatSide alone = HeatSide::kUndecided;  ///< What that capture alone decided.
};

/// What sits at a place on one side, as far as it shapes the heat.
struct PartsOfSide {
  double small = 0;     ///< Probability of a chip part, in view of the place alone,
  double moulded = 0;   ///< of a body that covers its source,
  double unlisted = 1;  ///< of anything else.
  /// Density of sources at the place over that of unlisted ones; >= 1.
  double density = 1;
};

/// Log of probability(source on the first side) over probability(second side).
struct SideEvidence {
  double log_odds = 0;
  bool both_claim_it = false;   ///< Each capture alone puts it on its own side.
  bool none_claims_it = false;  ///< Each alone puts it on the side that it does not see.
  /// Probability that the other side shows so little or less of a source on the
  /// likelier side, or so much or more; small: the captures do not fit.
  double fit_prob = 1;
  bool missing = false;  ///< Small because the other side shows too little.
};

/// How fast a place warmed after the last step up of the current.
[[nodiscard]] std::optional<double> QuicknessOf(const Candidate& candidate,
                                                const std::vector<SupplyLevel>& levels);

/// Joins rise, width, quickness and parts of both sides.
///
/// The logarithm of near over far is Gaussian for each of these, by the kind of
/// part: means and spreads stand in the source, from finite-element boards.
[[nodiscard]] SideEvidence WeighSides(const PlaceView& first,
                                      const PartsOfSide& first_parts,
                                      const PlaceView& second,
                                      const PartsOfSide& second_parts);

/// What a parts list has on one side at a place.
/// @param sigma_mm  standard error of the place, per axis.
[[nodiscard]] PartsOfSide PartsAt(const std::vector<Part>& parts,
                                  BoardSide side,
                                  Point place_mm,
                                  double sigma_mm);

}  // namespace ohmglow
