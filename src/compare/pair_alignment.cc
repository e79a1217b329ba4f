// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/compare/pair_alignment.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "align/stripes.h"
#include "compare/pair_refine.h"
#include "compare/pair_search.h"
#include "compare/pair_texture.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// The search runs on pictures about this wide.
constexpr int kSearchWidthPx = 80;
constexpr int kTried = 5;
// Standard error of the search, pixels of the small pictures.
constexpr double kSearchErrorPx = 2.5;
constexpr double kCoarseBlurPx = 2.0;
constexpr double kFineBlurPx = 1.2;
// A person's landmarks may be mixed up, but the fit has then said so.
constexpr double kPointsTrust = 0.98;
// Likeness of chance matches and of true ones: see the table in README.md here.
constexpr double kTrustZ = 4;
constexpr double kTrustSlope = 0.6;
// Maps this far apart are two, not one fitted badly. Not larger: about a wrong
// map there may be others nearby that are hardly worse, and they are what shows
// that it is a chance match.
constexpr double kOtherMapPx = 6;
constexpr double kMostKelvin = 1e5;

// A map that folds, mirrors or shrinks the picture to nothing is no camera's view.
bool Possible(const PlaneMap& map, cv::Size size, const PairAlignOptions& options) {
  for (const double x : {0.0, size.width - 1.0}) {
    for (const double y : {0.0, size.height - 1.0}) {
      const double area =
          cv::determinant(map.Jacobian({x, y})) / (options.expected_scale * options.expected_scale);
      const double limit = 2 * options.max_scale * options.max_scale;
      if (!(area > 1 / limit && area < limit)) return false;
    }
  }
  return true;
}

Likeness LikenessUnder(const StaticView& before, const StaticView& after, const PlaneMap& map) {
  const Texture view = MakeTexture(WarpView(after, map, before.seen.size()), kCoarseBlurPx);
  return MeasureLikeness(MakeTexture(before, kCoarseBlurPx), view, kCoarseBlurPx);
}

// From coarse to fine.
FittedMap Refine(const StaticView& before, const StaticView& after, const FittedMap& prior) {
  const FittedMap coarse = RefinePair(before, after, prior.after_from_before, prior, kCoarseBlurPx);
  return RefinePair(before, after, coarse.after_from_before, prior, kFineBlurPx);
}

// Root mean square distance over what both pictures show under the first map:
// beyond it, a map of a small overlap may be anywhere.
double DistanceOverOverlap(const PlaneMap& a, const PlaneMap& b, cv::Size before, cv::Size after) {
  constexpr int kStepPx = 8;
  const cv::Rect2d frame(0, 0, after.width - 1, after.height - 1);
  double sum = 0;
  int count = 0;
  for (int y = kStepPx / 2; y < before.height; y += kStepPx) {
    for (int x = kStepPx / 2; x < before.width; x += kStepPx) {
      const Point at = a.Apply(Point(x, y));
      if (!frame.contains(at)) continue;
      const Point apart = b.Apply(Point(x, y)) - at;
      sum += apart.ddot(apart);
      ++count;
    }
  }
  return count > 0 ? std::sqrt(sum / count) : 0;
}

struct Tried {
  FittedMap fit;
  Likeness likeness;
};

// From how much better than any other map it explains the pictures.
double Trust(double z, double rival_z) {
  return 1 / (1 + std::exp(-kTrustSlope * (z - rival_z - kTrustZ)));
}

void Describe(const StaticView& before, const StaticView& after, PairAlignment& out) {
  const cv::Size size = before.seen.size();
  const Point middle((size.width - 1) / 2.0, (size.height - 1) / 2.0);
  const cv::Matx22d j = out.after_from_before.Jacobian(middle);
  out.rotation_deg = std::atan2(j(1, 0) - j(0, 1), j(0, 0) + j(1, 1)) * 180 / CV_PI;
  out.scale = std::sqrt(std::abs(cv::determinant(j)));
  const StaticView view = WarpView(after, out.after_from_before, size);
  out.overlap = cv::countNonZero(view.seen & before.seen) /
                std::max(1.0, static_cast<double>(cv::countNonZero(before.seen)));
}

// A pixel without a value does not count, whatever the mask says.
StaticView Usable(const StaticView& view, const char* which) {
  if (view.picture_k.empty() || view.seen.size() != view.picture_k.size()) {
    throw DataError(std::string("the ") + which +
                    " picture is empty or has another size than its mask");
  }
  Mask finite;
  cv::inRange(view.picture_k, -kMostKelvin, kMostKelvin, finite);
  StaticView out{view.picture_k.clone(), view.seen.clone()};
  out.seen.setTo(0, finite == 0);
  out.picture_k.setTo(cv::mean(view.picture_k, out.seen), finite == 0);
  return Destriped(out);
}

std::string Percent(double share) { return std::to_string(std::lround(100 * share)) + " %"; }

PairAlignment FromPoints(const StaticView& before,
                         const StaticView& after,
                         const PairStart& start,
                         const PairAlignOptions& options) {
  const FittedMap prior{start.after_from_before, start.error_px};
  const FittedMap fit = Refine(before, after, prior);
  const Likeness at_start = LikenessUnder(before, after, prior.after_from_before);
  const Likeness at_fit = LikenessUnder(before, after, fit.after_from_before);
  const bool better =
      at_fit.z >= at_start.z && Possible(fit.after_from_before, before.seen.size(), options);
  PairAlignment out;
  out.from_points = true;
  out.after_from_before = better ? fit.after_from_before : prior.after_from_before;
  out.residual_px = better ? fit.error_px : prior.error_px;
  out.agreement = better ? at_fit.agreement : at_start.agreement;
  out.trust = kPointsTrust;
  return out;
}

PairAlignment FromPictures(const StaticView& before,
                           const StaticView& after,
                           const PairAlignOptions& options) {
  const Texture coarse_before = MakeTexture(before, kCoarseBlurPx);
  const Texture coarse_after = MakeTexture(after, kCoarseBlurPx);
  const int factor = std::max(
      1, static_cast<int>(std::lround(coarse_before.size().width / double{kSearchWidthPx})));
  // As they are, and edges whatever their sign: contrast may be reversed.
  std::vector<CoarseMatch> tried =
      SearchPair(Shrink(coarse_before, factor), Shrink(coarse_after, factor), options, kTried);
  const std::vector<CoarseMatch> edges = SearchPair(Shrink(EdgesOf(coarse_before), factor),
                                                    Shrink(EdgesOf(coarse_after), factor),
                                                    options,
                                                    kTried);
  tried.insert(tried.end(), edges.begin(), edges.end());
  std::vector<Tried> fits;
  for (const CoarseMatch& match : tried) {
    const PlaneMap start = ShrinkMap(match.after_from_before, 1.0 / factor);
    const FittedMap fit = Refine(before, after, {start, kSearchErrorPx * factor});
    if (!Possible(fit.after_from_before, before.seen.size(), options)) continue;
    fits.push_back({fit, LikenessUnder(before, after, fit.after_from_before)});
  }
  PairAlignment out;
  const auto best = std::max_element(fits.begin(), fits.end(), [](const Tried& a, const Tried& b) {
    return a.likeness.z < b.likeness.z;
  });
  if (best == fits.end()) return out;
  out.after_from_before = best->fit.after_from_before;
  out.residual_px = best->fit.error_px;
  out.agreement = best->likeness.agreement;
  // What another map explains as well is no evidence for this one.
  double rival_z = 0;
  for (const Tried& other : fits) {
    if (DistanceOverOverlap(out.after_from_before,
                            other.fit.after_from_before,
                            before.seen.size(),
                            after.seen.size()) > kOtherMapPx) {
      rival_z = std::max(rival_z, other.likeness.z);
    }
  }
  out.trust = Trust(best->likeness.z, rival_z);
  return out;
}

}  // namespace

void PairAlignOptions::Validate() const {
  const auto refuse = [](const std::string& field, double value, const std::string& rule) {
    throw OptionError("PairAlignOptions::" + field + " must " + rule + "; it is " +
                      std::to_string(value));
  };
  if (!(max_rotation_deg >= 0 && max_rotation_deg <= 180)) {
    refuse("max_rotation_deg", max_rotation_deg, "lie in 0 .. 180");
  }
  if (!(max_scale > 1 && max_scale < 10)) refuse("max_scale", max_scale, "lie between 1 and 10");
  if (!(expected_scale > 0.05 && expected_scale < 20)) {
    refuse("expected_scale", expected_scale, "lie between 0.05 and 20");
  }
  if (!(least_trust >= 0 && least_trust <= 1)) refuse("least_trust", least_trust, "lie in 0 .. 1");
}

PairAlignment AlignPair(const StaticView& before_view,
                        const StaticView& after_view,
                        const std::optional<PairStart>& start,
                        const PairAlignOptions& options) {
  options.Validate();
  const StaticView before = Usable(before_view, "first");
  const StaticView after = Usable(after_view, "second");
  PairAlignment out;
  if (start && Possible(start->after_from_before, before.seen.size(), options)) {
    out = FromPoints(before, after, *start, options);
  }
  if (out.trust < options.least_trust) out = FromPictures(before, after, options);
  if (out.trust < options.least_trust) {
    throw DataError(
        "the two captures cannot be laid on each other (trust " + Percent(out.trust) + " of the " +
        Percent(options.least_trust) +
        " needed): film the same side from a like distance, turned by less than " +
        std::to_string(std::lround(options.max_rotation_deg)) +
        " degrees, or give three or more landmarks with board_x_mm,board_y_mm in both points.csv");
  }
  Describe(before, after, out);
  return out;
}

}  // namespace ohmglow
