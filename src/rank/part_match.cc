// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/part_match.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <vector>

#include "base/normal_density.h"
#include "rank/part_form.h"

namespace ohmglow {
namespace {

// Density [1/mm2] of sources that are no listed part: one per 20 mm square.
constexpr double kElsewherePerMm2 = 1.0 / 400;
// Where in its outline a part that shorts is hot, in shares of its extent (common
// practice, no source). A chip: one in two as a whole, the others at an end, where
// a bent board cracks it: a third of the length off the middle.
constexpr double kWholeProb = 0.5;
constexpr double kWholeSpread = 0.15;
constexpr double kEndOff = 0.33;
constexpr double kEndSpread = 0.1;
constexpr double kAcrossSpread = 0.2;
// A die: in the middle of its package, half as wide and hot anywhere on it; one
// in ten at a pin, where solder bridges two.
constexpr double kSpreadOfDie = 0.14;
constexpr double kPinProb = 0.1;
constexpr double kPinOff = 0.42;
constexpr double kPinSpread = 0.06;
constexpr double kAlongPinsSpread = 0.28;
// Anything else.
constexpr double kSpreadOfExtent = 0.22;
// A package's frame evens out its heat over sqrt(sheet conductance / conductance to
// the board per area), 18 mW/K and 900 W/(m2 K): one that is smaller shows its
// die's heat nearer to its middle than it is made.
constexpr double kEvenedMm = 4.5;
// Heat of the far side now and then finds its way through a plane or vias aside: one
// in eight comes out as far off as this (finite-element boards: up to 4 mm).
constexpr double kAstrayProb = 0.12;
constexpr double kAstrayMm = 3;
// Who lists the parts of a side leaves out a solder bridge, a track or a test point
// rather than a moulded body (common practice, no source).
constexpr double kUnlistedBodyShare = 0.15;
constexpr std::size_t kMostParts = 4;

// One of the places in a part's outline where a short may be hot.
struct HotPlace {
  double prob;
  Point off_mm;  // Its middle, from the part's.
  double spread_x_mm, spread_y_mm;
  double shown = 1;  // How far off the part's middle the heat shows, over how far off it is.
};

std::vector<HotPlace> HotPlacesOfChip(const Part& part) {
  const bool along_x = part.width_mm >= part.height_mm;
  const double length_mm = std::max(part.width_mm, part.height_mm);
  const double across_mm = kAcrossSpread * std::min(part.width_mm, part.height_mm);
  std::vector<HotPlace> places;
  for (const auto& [prob, off, spread] : {std::tuple{kWholeProb, 0.0, kWholeSpread},
                                          {0.5 * (1 - kWholeProb), -kEndOff, kEndSpread},
                                          {0.5 * (1 - kWholeProb), kEndOff, kEndSpread}}) {
    const double off_mm = off * length_mm;
    const double along_mm = spread * length_mm;
    places.push_back({prob,
                      along_x ? Point(off_mm, 0) : Point(0, off_mm),
                      along_x ? along_mm : across_mm,
                      along_x ? across_mm : along_mm});
  }
  return places;
}

double ShownOfDie(const Part& part) {
  if (ClassOf(part) == PartClass::kPower) return 1;  // Soldered down as a whole.
  const double size_mm = std::max(part.width_mm, part.height_mm);
  return size_mm * size_mm / (size_mm * size_mm + kEvenedMm * kEvenedMm);
}

std::vector<HotPlace> HotPlacesOfDie(const Part& part) {
  const double width_mm = part.width_mm;
  const double height_mm = part.height_mm;
  std::vector<HotPlace> places = {
      {1 - kPinProb, {0, 0}, kSpreadOfDie * width_mm, kSpreadOfDie * height_mm, ShownOfDie(part)}};
  for (const double off : {-kPinOff, kPinOff}) {
    places.push_back(
        {kPinProb / 4, {off * width_mm, 0}, kPinSpread * width_mm, kAlongPinsSpread * height_mm});
    places.push_back(
        {kPinProb / 4, {0, off * height_mm}, kAlongPinsSpread * width_mm, kPinSpread * height_mm});
  }
  return places;
}

std::vector<HotPlace> HotPlaces(const Part& part) {
  switch (ClassOf(part)) {
    case PartClass::kChip:
      return HotPlacesOfChip(part);
    case PartClass::kMoulded:
    case PartClass::kPower:
      return HotPlacesOfDie(part);
    case PartClass::kCover:
    case PartClass::kOther:
      break;
  }
  return {{1, {0, 0}, kSpreadOfExtent * part.width_mm, kSpreadOfExtent * part.height_mm}};
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

// Product of two Gaussians along one axis, of what was measured and of where the
// short may be, both off the part's middle: how well they meet, and where the
// source lies.
struct Between {
  double density;
  double mm;
  double variance;
};
Between Join(double seen_mm, double sigma_mm, double hot_mm, double spread_mm, double shown) {
  const double measured = sigma_mm * sigma_mm;
  const double off_mm = seen_mm - shown * hot_mm;
  const double variance = measured + std::pow(shown * spread_mm, 2);
  return {NormalDensity(off_mm, std::sqrt(variance)),
          hot_mm + shown * spread_mm * spread_mm / variance * off_mm,
          measured * spread_mm * spread_mm / variance};
}

// Adds where the source lies if the part is it, weighed by `weight`; gives the
// part's own weight: how well all its places meet what was measured.
double AddPart(
    const Part& part, bool near, Point seen_mm, double blur_mm, double weight, PlaceMean& place) {
  const Point seen_off_mm = seen_mm - part.center_mm;
  double sum = 0;
  for (const HotPlace& hot : HotPlaces(part)) {
    const double shown = near ? hot.shown : 1;
    const Between x = Join(seen_off_mm.x, blur_mm, hot.off_mm.x, hot.spread_x_mm, shown);
    const Between y = Join(seen_off_mm.y, blur_mm, hot.off_mm.y, hot.spread_y_mm, shown);
    const double density = weight * hot.prob * x.density * y.density;
    place.Add(density, part.center_mm + Point(x.mm, y.mm), 0.5 * (x.variance + y.variance));
    sum += density;
  }
  return sum;
}

}  // namespace

PartsThere MatchParts(const std::vector<Part>& parts,
                      Point place_mm,
                      double sigma_mm,
                      BoardSide camera_side,
                      double far_prob,
                      const HeatForm& form) {
  PartsThere out;
  const bool listed = std::any_of(
      parts.begin(), parts.end(), [&](const Part& part) { return part.side == camera_side; });
  const double body_share = listed ? kUnlistedBodyShare : 0.5;
  const double unlisted_near =
      kElsewherePerMm2 * (1 - far_prob) * UnlistedFormDensity(form, true, body_share);
  const double unlisted_far = kElsewherePerMm2 * far_prob * UnlistedFormDensity(form, false);
  double total = unlisted_near + unlisted_far;
  double this_side = unlisted_near;
  // Heat of the far side comes out where the copper lets it, not straight through.
  const auto far_sigma_mm = [sigma_mm](const Part& part) {
    return std::hypot(sigma_mm, FarShiftMm(part));
  };
  PlaceMean place;
  place.Add(unlisted_near, place_mm, sigma_mm * sigma_mm);
  place.Add(unlisted_far, place_mm, std::pow(far_sigma_mm(Part{}), 2));
  for (const Part& part : parts) {
    const bool near = part.side == camera_side;
    const double weight =
        ShortWeight(part) * (near ? 1 - far_prob : far_prob) * FormDensity(form, part, near);
    const double straight = near ? 1 : 1 - kAstrayProb;
    const double blur_mm = near ? sigma_mm : far_sigma_mm(part);
    double density = AddPart(part, near, place_mm, blur_mm, straight * weight, place);
    if (!near) {
      const double astray_mm = std::hypot(sigma_mm, kAstrayMm);
      density += AddPart(part, near, place_mm, astray_mm, kAstrayProb * weight, place);
    }
    out.parts.push_back({part.ref, density, near ? HeatSide::kNear : HeatSide::kFar});
    total += density;
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
  std::erase_if(out.parts, [](const PartMatch& match) { return match.prob < kLeastPartProb; });
  if (out.parts.size() > kMostParts) out.parts.resize(kMostParts);
  return out;
}

}  // namespace ohmglow
