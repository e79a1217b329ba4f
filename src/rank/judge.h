// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "rank/confidence.h"
#include "rank/spot.h"

namespace ohmglow {

struct Judged {
  Spot spot;
  Judgement judgement;
  double fault_prob = 0;
  double none_prob = 1;
};

/// Says of each place what of the heat that lead contacts and coils make for certain may come out
/// there: copper that ends, planes and vias lead it aside.
void MeasureSpread(std::vector<Spot>& spots);

/// Probability of each place by itself, the others not looked at.
[[nodiscard]] std::vector<double> PlausibilitiesOf(const std::vector<Spot>& spots,
                                                   double threshold);

/// All places judged together, most probable first.
/// @param threshold  height of the map that noise alone rarely reaches.
[[nodiscard]] std::vector<Judged> Judge(std::vector<Spot> spots, double threshold);

}  // namespace ohmglow
