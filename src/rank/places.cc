// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/places.h"

#include <algorithm>

namespace ohmglow {
namespace {

constexpr double kSaddleFraction = 0.75;
// A saddle between two strong places: what noise does not make, and ragged copper hardly.
constexpr double kSaddleSigmas = 4;
constexpr double kLeastDepth = 0.04;
constexpr double kReachOfSteps = 7;
// No body in usual pictures is so wide that a fine maximum lies further from its middle.
constexpr double kReachPx = 8;
// Patchy copper lets heat out elsewhere with less than this part of its steps.
constexpr double kOutlet = 0.1;
constexpr double kTwinPx = 1.5;

// By how much a saddle must lie below a maximum of strong steps: a second fault a few
// millimetres beside a sharper one is a hump of its own, though hardly parted from it.
Image DepthOfSaddles(const Detector& detector) {
  Image share;
  cv::divide(kSaddleSigmas, cv::max(detector.z_steps(), 1e-3F), share);
  share = cv::min(cv::max(share, kLeastDepth), 1 - kSaddleFraction);
  return Image(share.mul(detector.steps_k()));
}

}  // namespace

std::vector<Peak> FindPlaces(const Detector& detector, double threshold) {
  const auto at = [](const Image& map, Point place_px) {
    return map(cvRound(place_px.y), cvRound(place_px.x));
  };
  // A wide source's own size shows its middle; finer ones show the parts around it. So
  // whether its steps are clear is asked there, of either kind of maximum: else a wide
  // one whose fine maximum lies beside it is neither. A way further than a body is wide that
  // is not up in both maps leads to something else beside it: there the next finer size is asked.
  const auto middle = [&](const Peak& peak) {
    for (const Detector::StepsOfSize& size : detector.StepsAt(peak.at_px)) {
      const Point top = ClimbTo(size.steps_k, peak.at_px).at_px;
      const bool near = cv::norm(top - peak.at_px) <= kReachPx;
      const bool up = at(detector.steps_k(), peak.at_px) < at(detector.steps_k(), top) &&
                      at(detector.z(), peak.at_px) < at(detector.z(), top);
      if (near || up) return top;
    }
    return peak.at_px;
  };
  Image strong = detector.steps_k().clone();
  strong.setTo(0, detector.z() < threshold);
  strong.setTo(0, detector.z_steps() < kReachOfSteps);
  std::vector<Peak> places;
  std::vector<Peak> faint;
  for (Peak peak : FindPeaks(strong, 1e-9, DepthOfSaddles(detector))) {
    peak.at_px = middle(peak);
    const double steps = at(detector.z_steps(), peak.at_px);
    const double z = at(detector.z(), peak.at_px);
    peak.height = std::max(steps, z);
    (steps < Detector::kStrongSteps ? faint : places).push_back(peak);
  }
  Image rest = detector.z().clone();
  rest.setTo(0, rest < threshold);
  std::vector<Point> middles;
  for (const Peak& peak : FindPeaks(rest, 1e-9, kSaddleFraction)) {
    middles.push_back(middle(peak));
    if (at(detector.z_steps(), middles.back()) < Detector::kStrongSteps) places.push_back(peak);
  }
  // Faint steps beside stronger heat, on whose slope they are no maximum of z.
  double strongest = 0;
  cv::minMaxLoc(detector.z_steps(), nullptr, &strongest);
  for (const Peak& peak : faint) {
    const bool there = std::any_of(middles.begin(), middles.end(), [&](Point other) {
      return cv::norm(other - peak.at_px) < kTwinPx;
    });
    const bool outlet = at(detector.z_steps(), peak.at_px) < kOutlet * strongest;
    if (!there && !outlet && at(detector.z(), peak.at_px) >= threshold) places.push_back(peak);
  }
  std::sort(places.begin(), places.end(), [](const Peak& a, const Peak& b) {
    return a.height > b.height;
  });
  // Two fine maxima may lead to one wide place.
  std::vector<Peak> apart;
  for (const Peak& peak : places) {
    const bool twin = std::any_of(apart.begin(), apart.end(), [&](const Peak& other) {
      return cv::norm(other.at_px - peak.at_px) < kTwinPx;
    });
    if (!twin) apart.push_back(peak);
  }
  return apart;
}

}  // namespace ohmglow
