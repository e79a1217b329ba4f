// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/wide_places.h"

#include <algorithm>

#include "heat/detector.h"
#include "heat/seen_blur.h"

namespace ohmglow {
namespace {

// Heat of one source on patchy copper reaches about this far in pieces.
constexpr double kOneSourceMm = 8;
constexpr double kSaddleFraction = 0.75;

}  // namespace

std::vector<WidePlace> FindWidePlaces(const HeatLeft& heat,
                                      const Mask& seen,
                                      std::span<const Point> clear_px,
                                      double mm_per_pixel,
                                      double noise_k,
                                      const WideRules& rules) {
  const SeenBlur spot(seen, kWideSigmaMm / mm_per_pixel);
  const SeenBlur around(seen, kWideSurroundingsMm / mm_per_pixel);
  const auto over = [&](const Image& map) { return Image(spot(map) - around(map)); };
  const Image left_k = over(heat.left_k);
  const Image whole_k = over(heat.whole_k);
  const Image held_k(whole_k - left_k);
  double most_held_k = 0;
  cv::minMaxLoc(held_k, nullptr, &most_held_k, nullptr, nullptr, seen);
  const Image noise_of_spot_k(spot.NoiseGain() * noise_k);
  // What was taken out in excess makes no heat.
  Image map(cv::min(left_k, whole_k));
  map.setTo(0, map < rules.least_left * whole_k);
  map.setTo(0, map < Detector::kStrongSteps * noise_of_spot_k);
  map.setTo(0, map < rules.least_share * most_held_k);
  map.setTo(0, seen == 0);
  std::vector<WidePlace> places;
  for (Peak& peak : FindPeaks(map, 1e-9, kSaddleFraction)) {
    if (places.size() >= rules.most) break;
    const bool owned = std::any_of(clear_px.begin(), clear_px.end(), [&](const Point& clear) {
      return mm_per_pixel * cv::norm(clear - peak.at_px) < kOneSourceMm;
    });
    if (owned) continue;
    const cv::Point at(cvRound(peak.at_px.x), cvRound(peak.at_px.y));
    peak.height /= noise_of_spot_k(at);
    places.push_back({peak, std::max(0.0, double{held_k(at) / left_k(at)})});
  }
  return places;
}

}  // namespace ohmglow
