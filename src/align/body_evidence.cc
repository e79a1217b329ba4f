// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_evidence.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "align/robust.h"

namespace ohmglow {
namespace {

constexpr double kPxPerMm = 6;
constexpr double kMostSidePx = 700;
constexpr double kMarginMm = 2;
constexpr double kBlurPx = 0.8;
// Of the typical slope: what is below counts as noise.
constexpr double kNoises = 2;
// A side may lie off by what the map leaves open, and by what the list's size is wrong.
constexpr double kOffMm = 0.2;
constexpr double kSizeShare = 0.06;
// Corners are round and shared.
constexpr double kAlong = 0.8;
constexpr int kPlacesASide = 45;
// A body shows with this probability; then its rarity p has the density kRare p^(kRare - 1).
constexpr double kShows = 0.85;
constexpr double kRare = 0.3;

// Slopes over size, summed along the sides that they cross.
struct SideSums {
  cv::Mat_<float> down;    // Of the slope along x, over rows.
  cv::Mat_<float> across;  // Of the slope along y, over columns; turned, to be read like `down`.
};

SideSums SumSlopes(const Image& picture) {
  Image smooth, x, y, size;
  cv::GaussianBlur(picture, smooth, {0, 0}, kBlurPx, kBlurPx, cv::BORDER_REPLICATE);
  cv::Scharr(smooth, x, CV_32F, 1, 0, 1.0 / 32);
  cv::Scharr(smooth, y, CV_32F, 0, 1, 1.0 / 32);
  cv::magnitude(x, y, size);
  std::vector<float> sizes(size.begin(), size.end());
  size += std::max(1e-9, kNoises * static_cast<double>(internal::MedianInPlace(sizes)));
  x /= size;
  y /= size;
  SideSums sums{cv::Mat_<float>(picture.rows + 1, picture.cols, 0.0F),
                cv::Mat_<float>(picture.cols + 1, picture.rows, 0.0F)};
  for (int r = 0; r < picture.rows; ++r) {
    for (int c = 0; c < picture.cols; ++c) {
      sums.down(r + 1, c) = sums.down(r, c) + x(r, c);
      sums.across(c + 1, r) = sums.across(c, r) + y(r, c);
    }
  }
  return sums;
}

// A body's sides in whole pixels.
struct Shape {
  int width = 0;
  int height = 0;
  auto operator<=>(const Shape&) const = default;
};

struct Extremes {
  float least = 1;
  float most = -1;
};

// Mean slope along a side, over the ways it may lie off.
Extremes AlongSide(const cv::Mat_<float>& sums, int place, int first, int last, int off) {
  Extremes out;
  const auto length = static_cast<float>(last - first);
  for (int at = std::max(0, place - off); at <= std::min(sums.cols - 1, place + off); ++at) {
    const float mean = (sums(last, at) - sums(first, at)) / length;
    out.least = std::min(out.least, mean);
    out.most = std::max(out.most, mean);
  }
  return out;
}

// How much all four sides are edges of one sign, -1 .. 1.
float Outlined(const SideSums& sums, const Shape& shape, Point center, double px_per_mm) {
  const auto span = [](double middle, int length, int most) {
    const int half = std::max(1, static_cast<int>(std::lround(0.5 * kAlong * length)));
    const int at = static_cast<int>(std::lround(middle));
    return std::pair(std::clamp(at - half, 0, most - 2), std::clamp(at + half + 1, 2, most));
  };
  const auto off = [&](int length) {
    return static_cast<int>(std::lround(kOffMm * px_per_mm + kSizeShare * length));
  };
  const auto [top, bottom] = span(center.y, shape.height, sums.down.rows - 1);
  const auto [left, right] = span(center.x, shape.width, sums.across.rows - 1);
  const auto side = [](double middle, int length, int sign) {
    return static_cast<int>(std::lround(middle + 0.5 * sign * length));
  };
  const Extremes l =
      AlongSide(sums.down, side(center.x, shape.width, -1), top, bottom, off(shape.width));
  const Extremes r =
      AlongSide(sums.down, side(center.x, shape.width, 1), top, bottom, off(shape.width));
  const Extremes t =
      AlongSide(sums.across, side(center.y, shape.height, -1), left, right, off(shape.height));
  const Extremes b =
      AlongSide(sums.across, side(center.y, shape.height, 1), left, right, off(shape.height));
  const float brighter = l.most - r.least + t.most - b.least;
  const float darker = r.most - l.least + b.most - t.least;
  return 0.25F * std::max(brighter, darker);
}

// What places all over the view have of a shape, in order.
std::vector<float> Anywhere(const SideSums& sums,
                            const Mask& seen,
                            const Shape& shape,
                            double px_per_mm) {
  std::vector<float> out;
  for (int j = 0; j < kPlacesASide; ++j) {
    for (int i = 0; i < kPlacesASide; ++i) {
      const Point at((i + 0.5) / kPlacesASide * seen.cols, (j + 0.5) / kPlacesASide * seen.rows);
      if (seen(static_cast<int>(at.y), static_cast<int>(at.x)) == 0) continue;
      out.push_back(Outlined(sums, shape, at, px_per_mm));
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

double LogRatio(float value, const std::vector<float>& anywhere) {
  const auto above = static_cast<double>(anywhere.end() -
                                         std::lower_bound(anywhere.begin(), anywhere.end(), value));
  const double rarity = (1 + above) / (1 + static_cast<double>(anywhere.size()));
  return std::log(kShows * kRare * std::pow(rarity, kRare - 1) + 1 - kShows);
}

}  // namespace

double BodyEvidence(const PhotoLevels& picture,
                    const PlaneMap& picture_from_board,
                    const std::vector<cv::Rect2d>& bodies_mm) {
  cv::Rect2d all;
  for (const cv::Rect2d& body : bodies_mm) all = all.empty() ? body : (all | body);
  const double longest_mm = std::max(all.width, all.height) + 2 * kMarginMm;
  const double px_per_mm = std::min(kPxPerMm, kMostSidePx / longest_mm);
  // A list of a long strip is left a line at least two pixels wide: sides have two ends.
  const auto pixels = [&](double mm) {
    return std::max(2, static_cast<int>(std::ceil((mm + 2 * kMarginMm) * px_per_mm)));
  };
  const cv::Size size(pixels(all.width), pixels(all.height));
  const double left = all.x - kMarginMm;
  const double top = all.y - kMarginMm;
  const cv::Matx33d board_from_view(1 / px_per_mm, 0, left, 0, 1 / px_per_mm, top, 0, 0, 1);
  const StaticView view =
      SeenThrough(picture, PlaneMap{picture_from_board.matrix * board_from_view}, size);
  const SideSums sums = SumSlopes(view.picture_k);
  std::map<Shape, std::vector<float>> anywhere;
  double sum = 0;
  for (const cv::Rect2d& body : bodies_mm) {
    const Point center = (body.tl() - Point(left, top)) * px_per_mm +
                         0.5 * px_per_mm * Point(body.width, body.height);
    const cv::Point at(center);
    if (!cv::Rect({}, size).contains(at) || view.seen(at.y, at.x) == 0) continue;
    const Shape shape{static_cast<int>(std::lround(body.width * px_per_mm)),
                      static_cast<int>(std::lround(body.height * px_per_mm))};
    std::vector<float>& places = anywhere[shape];
    if (places.empty()) places = Anywhere(sums, view.seen, shape, px_per_mm);
    if (places.empty()) continue;
    sum += LogRatio(Outlined(sums, shape, center, px_per_mm), places);
  }
  return sum;
}

}  // namespace ohmglow
