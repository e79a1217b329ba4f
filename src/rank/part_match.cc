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
// Part of the outline's extent that the heat's middle spreads over: anywhere in
// a chip; in a die, in the middle of its package and half as wide (common practice, no source).
constexpr double kSpreadOfExtent = 0.22;
constexpr double kSpreadOfDie = 0.14;
constexpr double kLeastProb = 0.02;
constexpr std::size_t kMostParts = 4;

double SpreadOf(const Part& part) {
  const PartClass kind = ClassOf(part);
  return kind == PartClass::kMoulded || kind == PartClass::kPower ? kSpreadOfDie : kSpreadOfExtent;
}

double Gauss(double d_mm, double sigma_mm) {
  return std::exp(-0.5 * d_mm * d_mm / (sigma_mm * sigma_mm)) /
         (sigma_mm * std::sqrt(2 * std::numbers::pi));
}

// Mean and spread of a place that may be any of several, each a Gaussian.
class PlaceMean {
 public:
  void Add(double weight, Point at, double variance) {
    norm_ += weight;
    sum_ += weight * at;
    square_ += weight * (at.ddot(at) + 2 * variance);
  }
  [[nodiscard]] Point Value() const { return sum_ / norm_; }
  [[nodiscard]] double SigmaPerAxis() const {
    return std::sqrt(std::max(0.0, 0.5 * (square_ / norm_ - Value().ddot(Value()))));
  }

 private:
  double norm_ = 0;
  Point sum_;
  double square_ = 0;
};

// Product of two Gaussians along one axis: where between what was measured and
// the part's middle the source lies.
struct Between {
  double mm;
  double variance;
};
Between Join(double measured_mm, double sigma_mm, double middle_mm, double spread_mm) {
  const double measured = sigma_mm * sigma_mm;
  const double middle = spread_mm * spread_mm;
  return {(middle * measured_mm + measured * middle_mm) / (measured + middle),
          measured * middle / (measured + middle)};
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
  PlaceMean place;
  place.Add(total, place_mm, sigma_mm * sigma_mm);
  for (const Part& part : parts) {
    const bool near = part.side == camera_side;
    // Heat of the far side comes out where the copper lets it, not straight through.
    const double blur_mm = near ? sigma_mm : std::hypot(sigma_mm, FarShiftMm(part));
    const double spread_x_mm = SpreadOf(part) * part.width_mm;
    const double spread_y_mm = SpreadOf(part) * part.height_mm;
    const double sx = std::hypot(blur_mm, spread_x_mm);
    const double sy = std::hypot(blur_mm, spread_y_mm);
    const double density = Gauss(place_mm.x - part.center_mm.x, sx) *
                           Gauss(place_mm.y - part.center_mm.y, sy) * ShortWeight(part) *
                           (near ? 1 - far_prob : far_prob) * FormDensity(form, part, near);
    out.parts.push_back({part.ref, density});
    total += density;
    const Between x = Join(place_mm.x, blur_mm, part.center_mm.x, spread_x_mm);
    const Between y = Join(place_mm.y, blur_mm, part.center_mm.y, spread_y_mm);
    place.Add(density, {x.mm, y.mm}, 0.5 * (x.variance + y.variance));
    if (near) this_side += density;
  }
  out.place_mm = place.Value();
  out.place_sigma_mm = place.SigmaPerAxis();
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
