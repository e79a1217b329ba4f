// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/ratio.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "align/robust.h"
#include "compare/pair_texture.h"

namespace ohmglow {
namespace {

// Both maps are smoothed alike on the board, so that pixel size and optics
// matter little.
constexpr double kSmoothMm = 0.8;
constexpr double kLeastSmoothPx = 1.2;
constexpr double kSurroundingsMm = 6;
constexpr double kReachMm = 5;
// Of the template's peak: below it the surroundings are as likely.
constexpr double kLeastShare = 0.15;
constexpr int kNullStepPx = 3;
constexpr std::size_t kLeastNulls = 20;
constexpr double kMostBelow = 2;  // Standard errors.

Image OverSurroundings(const StrengthView& view, double smooth_mm) {
  Image weight;
  view.seen.convertTo(weight, CV_32F, 1.0 / 255);
  return Image(SeenMean(view.map, weight, smooth_mm / view.mm_per_pixel) -
               SeenMean(view.map, weight, kSurroundingsMm / view.mm_per_pixel));
}

struct Sample {
  cv::Point offset;  // from the place, pixels of the second view
  double value = 0;
};

// The first map around the place as the second camera would see it.
std::vector<Sample> Template(const Image& smooth,
                             const Mask& seen,
                             const PlaneMap& first_from_second,
                             Point at_first,
                             Point at_second,
                             double reach_px,
                             const std::vector<Point>& rivals) {
  std::vector<Sample> all;
  double peak = 0;
  const int reach = static_cast<int>(std::ceil(reach_px));
  for (int dy = -reach; dy <= reach; ++dy) {
    for (int dx = -reach; dx <= reach; ++dx) {
      if (std::hypot(dx, dy) > reach_px) continue;
      const Point p = first_from_second.Apply(at_second + Point(dx, dy));
      const cv::Point pixel(static_cast<int>(std::floor(p.x)), static_cast<int>(std::floor(p.y)));
      if (!cv::Rect(0, 0, smooth.cols - 1, smooth.rows - 1).contains(pixel)) continue;
      if (seen(pixel) == 0) continue;
      const double own = cv::norm(p - at_first);
      const bool theirs = std::any_of(rivals.begin(), rivals.end(), [&](const Point& rival) {
        return cv::norm(p - rival) < own;
      });
      if (theirs) continue;
      const double fx = p.x - pixel.x;
      const double fy = p.y - pixel.y;
      const int x = pixel.x;
      const int y = pixel.y;
      const double value = (1 - fy) * ((1 - fx) * smooth(y, x) + fx * smooth(y, x + 1)) +
                           fy * ((1 - fx) * smooth(y + 1, x) + fx * smooth(y + 1, x + 1));
      all.push_back({{dx, dy}, value});
      peak = std::max(peak, value);
    }
  }
  std::erase_if(all, [&](const Sample& s) { return s.value < kLeastShare * peak || peak <= 0; });
  return all;
}

// Amplitude of the template at one place; NaN where too little of it was seen.
double Amplitude(const std::vector<Sample>& shape,
                 const Image& map,
                 const Mask& seen,
                 cv::Point at) {
  double cross = 0;
  double own = 0;
  double all = 0;
  const cv::Rect frame(0, 0, map.cols, map.rows);
  for (const Sample& s : shape) {
    all += s.value * s.value;
    const cv::Point p = at + s.offset;
    if (!frame.contains(p) || seen(p) == 0) continue;
    cross += s.value * map(p);
    own += s.value * s.value;
  }
  return own > 0.6 * all && all > 0 ? cross / own : std::nan("");
}

}  // namespace

RatioFit FitRatio(const StrengthView& first,
                  const StrengthView& second,
                  const PlaneMap& second_from_first,
                  Point at_px,
                  const std::vector<Point>& rivals_px) {
  const double smooth_mm =
      std::max(kSmoothMm, kLeastSmoothPx * std::max(first.mm_per_pixel, second.mm_per_pixel));
  const Image from = OverSurroundings(first, smooth_mm);
  const Image to = OverSurroundings(second, smooth_mm);
  const Point at = second_from_first.Apply(at_px);
  const cv::Point pixel(cvRound(at.x), cvRound(at.y));
  const std::vector<Sample> shape = Template(from,
                                             first.seen,
                                             second_from_first.Inverse(),
                                             at_px,
                                             Point(pixel),
                                             kReachMm / second.mm_per_pixel,
                                             rivals_px);
  RatioFit fit;
  fit.ratio = Amplitude(shape, to, second.seen, pixel);
  fit.seen = !std::isnan(fit.ratio);
  if (!fit.seen) return {};
  std::vector<double> nulls;
  const double apart_px = 2 * kReachMm / second.mm_per_pixel;
  for (int y = 0; y < to.rows; y += kNullStepPx) {
    for (int x = 0; x < to.cols; x += kNullStepPx) {
      if (second.seen(y, x) == 0 || std::hypot(x - at.x, y - at.y) < apart_px) continue;
      const double amplitude = Amplitude(shape, to, second.seen, {x, y});
      if (!std::isnan(amplitude)) nulls.push_back(amplitude);
    }
  }
  if (nulls.size() >= kLeastNulls) fit.sigma = std::max(1e-6, internal::RobustSigmaInPlace(nulls));
  // Nothing is weaker than nothing: what lies far below is disturbed by as much,
  // say by a place nearby that became stronger.
  fit.sigma = std::max(fit.sigma, -fit.ratio / kMostBelow);
  return fit;
}

}  // namespace ohmglow
