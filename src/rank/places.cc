// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/places.h"

#include <algorithm>

namespace ohmglow {
namespace {

constexpr double kSaddleFraction = 0.75;
constexpr double kReachOfSteps = 7;
constexpr double kTwinPx = 1.5;

}  // namespace

std::vector<Peak> FindPlaces(const Detector& detector, double threshold) {
  Image strong = detector.steps_k().clone();
  strong.setTo(0, detector.z() < threshold);
  strong.setTo(0, detector.z_steps() < kReachOfSteps);
  std::vector<Peak> places = FindPeaks(strong, 1e-9, kSaddleFraction);
  const auto steps_at = [&](const Peak& peak) {
    return detector.z_steps()(cvRound(peak.at_px.y), cvRound(peak.at_px.x));
  };
  std::erase_if(places, [&](const Peak& peak) { return steps_at(peak) < Detector::kStrongSteps; });
  for (Peak& peak : places) {
    // A wide source's own size shows its middle; finer ones show the parts around it.
    peak.at_px = ClimbTo(detector.StepsOfSize(peak.at_px), peak.at_px).at_px;
    peak.height =
        std::max(steps_at(peak), detector.z()(cvRound(peak.at_px.y), cvRound(peak.at_px.x)));
  }
  Image rest = detector.z().clone();
  rest.setTo(0, rest < threshold);
  for (const Peak& peak : FindPeaks(rest, 1e-9, kSaddleFraction)) {
    if (steps_at(peak) < Detector::kStrongSteps) places.push_back(peak);
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
