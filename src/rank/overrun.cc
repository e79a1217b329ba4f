// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/overrun.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace ohmglow {
namespace {

// A peak this close to a hole belongs to it: the detector's own width.
constexpr int kRimPx = 3;

struct Hole {
  Mask rim;  // the hole and its surroundings, 255
  Mask inside;
  Point center_px;
  double radius_px = 0;
};

std::vector<Hole> FindHoles(const Mask& out_of_range) {
  std::vector<Hole> holes;
  if (out_of_range.empty()) return holes;
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centers;
  const int count = cv::connectedComponentsWithStats(out_of_range, labels, stats, centers);
  for (int i = 1; i < count; ++i) {
    Hole hole;
    hole.inside = Mask(labels == i);
    cv::dilate(hole.inside, hole.rim, cv::Mat::ones(2 * kRimPx + 1, 2 * kRimPx + 1, CV_8U));
    hole.center_px = Point(centers.at<double>(i, 0), centers.at<double>(i, 1));
    hole.radius_px = std::sqrt(stats.at<int>(i, cv::CC_STAT_AREA) / std::numbers::pi);
    holes.push_back(std::move(hole));
  }
  return holes;
}

}  // namespace

std::vector<Peak> JoinAtOverruns(const std::vector<Peak>& peaks, const Mask& out_of_range) {
  std::vector<Hole> holes = FindHoles(out_of_range);
  std::vector<Peak> joined;
  for (const Peak& peak : peaks) {
    const cv::Point at(cvRound(peak.at_px.x), cvRound(peak.at_px.y));
    const auto hole =
        std::find_if(holes.begin(), holes.end(), [&](const Hole& h) { return h.rim(at) != 0; });
    if (hole == holes.end()) {
      joined.push_back(peak);
    } else if (hole->radius_px > 0) {
      joined.push_back({hole->center_px, peak.height, hole->radius_px});
      hole->radius_px = 0;  // the highest stands for all
    }
  }
  return joined;
}

Image FillOverruns(const Image& rise_k, const Mask& out_of_range, const Image& read_rise_k) {
  Image filled = rise_k.clone();
  for (const Hole& hole : FindHoles(out_of_range)) {
    double on_rim_k = 0;
    double inside_k = 0;
    cv::minMaxLoc(rise_k, nullptr, &on_rim_k, nullptr, nullptr, Mask(hole.rim & ~hole.inside));
    if (!read_rise_k.empty()) {
      cv::minMaxLoc(read_rise_k, nullptr, &inside_k, nullptr, nullptr, hole.inside);
    }
    filled.setTo(std::max(on_rim_k, inside_k), hole.inside);
  }
  return filled;
}

}  // namespace ohmglow
