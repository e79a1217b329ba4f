// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/pair_words.h"

#include <algorithm>
#include <cstdio>

namespace ohmglow {
namespace {

std::string Format(const char* text, double a, double b) {
  char buffer[200];
  std::snprintf(buffer, sizeof buffer, text, a, b);
  return buffer;
}

}  // namespace

std::string SayViews(const PairView& pair) {
  for (const int i : {0, 1}) {
    if (pair.views[i].filmed) continue;
    return i == 1 ? "The capture of the other side does not show this place."
                  : "This capture does not show the place.";
  }
  return std::string("On the ") + SideName(pair.captures[0]->result.side) +
         Format(" it rises by %.3g K, on the other side, at the same current, by %.3g K",
                std::max(0.0, pair.views[0].rise_k),
                std::max(0.0, pair.views[1].rise_k)) +
         Format(": %.0f %% for the ", 100 * std::min(pair.near_prob(), 0.99), 0) +
         SideName(pair.captures[pair.near]->result.side) + ".";
}

std::vector<std::string> SayContradictions(const PairView& pair) {
  std::vector<std::string> conflicts;
  if (pair.FitsPoorly()) {
    conflicts.emplace_back(
        pair.evidence.missing
            ? "Heat of this strength should show on the other side, and does not: it may be no "
              "heat of the board (a reflection, a hand)."
            : "It shows more strongly on the other side than heat from its own side does.");
  }
  if (pair.evidence.both_claim_it) {
    conflicts.emplace_back("Each capture alone puts it on its own side.");
  }
  if (pair.evidence.none_claims_it) {
    conflicts.emplace_back("Each capture alone puts it on the side that it does not see.");
  }
  return conflicts;
}

std::string SayPowers(const LogPower& near, const LogPower& far) {
  return Format(
      "The two sides disagree on its power: %.3g W from its own side, %.3g W from the "
      "other; the interval holds both.",
      near.power_w,
      far.power_w);
}

}  // namespace ohmglow
