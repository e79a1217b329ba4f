// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/verdict.h"

#include <algorithm>

namespace ohmglow {

void Doubt(double holds_prob, Ranking& ranking) {
  double lost = 0;
  for (Candidate& candidate : ranking.candidates) {
    lost += (1 - holds_prob) * candidate.confidence;
    candidate.confidence *= holds_prob;
  }
  ranking.elsewhere_prob = std::min(1.0, ranking.elsewhere_prob + lost);
  ranking.verdict = VerdictOn(ranking.candidates);
  if (ranking.verdict != Verdict::kNone) return;
  for (Candidate& candidate : ranking.candidates) {
    candidate.resistance_ohm.reset();
    candidate.drop_v.reset();
  }
}

}  // namespace ohmglow
