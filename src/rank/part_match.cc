// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/part_match.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "rank/part_form.h"

namespace ohmglow {
namespace {

// Density [1/mm2] of sources that are no listed part: one per 20 mm square.
constexpr double kElsewherePerMm2 = 1.0 / 400;
// Part of the outline's extent that the heat's middle spreads over.
constexpr double kSpreadOfExtent = 0.22;
constexpr double kLeastProb = 0.02;
constexpr std::size_t kMostParts = 4;

double Gauss(double d_mm, double sigma_mm) {
  return std::exp(-0.5 * d_mm * d_mm / (sigma_mm * sigma_mm)) /
         (sigma_mm * std::sqrt(2 * std::numbers::pi));
}

}  // namespace

PartsThere MatchParts(const std::vector<Part>& parts,
                      Point place_mm,
                      double sigma_mm,
                      BoardSide camera_side,
                      double far_prob,
                      const HeatForm& form) {
  PartsThere out;
  const double unlisted_near = kElsewherePerMm2 * (1 - far_prob) * UnlistedFormDensity(form, true);
  const double unlisted_far = kElsewherePerMm2 * far_prob * UnlistedFormDensity(form, false);
  double total = unlisted_near + unlisted_far;
  double this_side = unlisted_near;
  for (const Part& part : parts) {
    const bool near = part.side == camera_side;
    // Heat of the far side comes out where the copper lets it, not straight through.
    const double blur_mm = near ? sigma_mm : std::hypot(sigma_mm, FarShiftMm(part));
    const double sx = std::hypot(blur_mm, kSpreadOfExtent * part.width_mm);
    const double sy = std::hypot(blur_mm, kSpreadOfExtent * part.height_mm);
    const double density = Gauss(place_mm.x - part.center_mm.x, sx) *
                           Gauss(place_mm.y - part.center_mm.y, sy) * ShortWeight(part) *
                           (near ? 1 - far_prob : far_prob) * FormDensity(form, part, near);
    out.parts.push_back({part.ref, density});
    total += density;
    if (near) this_side += density;
  }
  out.prob_none = (unlisted_near + unlisted_far) / total;
  out.prob_this_side = this_side / total;
  for (PartMatch& match : out.parts) match.prob /= total;
  std::stable_sort(out.parts.begin(), out.parts.end(), [](const PartMatch& a, const PartMatch& b) {
    return a.prob > b.prob;
  });
  std::erase_if(out.parts, [](const PartMatch& match) { return match.prob < kLeastProb; });
  if (out.parts.size() > kMostParts) out.parts.resize(kMostParts);
  return out;
}

}  // namespace ohmglow
