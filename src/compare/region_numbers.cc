// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/region_numbers.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow {
namespace {

constexpr double kZeroCelsiusK = 273.15;
// Places a pixel, each way: a turned region must not step over its hottest one.
constexpr double kSamplesAPixel = 2;
constexpr int kMostSamples = 2000;  // Beyond what a frame holds.
constexpr int kLeastSamples = 4;

struct Sums {
  double sum = 0, squares = 0;
  int count = 0;
  void Add(double value) {
    sum += value;
    squares += value * value;
    ++count;
  }
  [[nodiscard]] double mean() const { return count > 0 ? sum / count : 0; }
  [[nodiscard]] double spread() const {
    return count > 1 ? std::sqrt(std::max(0.0, squares / count - mean() * mean())) : 0;
  }
};

}  // namespace

std::optional<RegionNumbers> MeasureRegion(const Region& region,
                                           const PlaneMap& frame_from_board,
                                           const std::vector<Image>& quarters_k,
                                           const Mask& seen) {
  const Point corner = region.center_mm - Point(region.width_mm / 2, region.height_mm / 2);
  const cv::Matx22d jacobian = frame_from_board.Jacobian(region.center_mm);
  const double px_per_mm = std::sqrt(std::abs(cv::determinant(jacobian)));
  const auto samples = [&](double size_mm) {
    return std::clamp(
        static_cast<int>(std::ceil(std::min(1e6, kSamplesAPixel * size_mm * px_per_mm))),
        kLeastSamples,
        kMostSamples);
  };
  const int nx = samples(region.width_mm);
  const int ny = samples(region.height_mm);
  const cv::Rect frame(0, 0, seen.cols, seen.rows);
  Sums all;
  std::array<Sums, 4> parts;                   // of the region
  std::vector<Sums> times(quarters_k.size());  // of the capture
  double largest = -1e9;
  for (int j = 0; j < ny; ++j) {
    for (int i = 0; i < nx; ++i) {
      const Point at = frame_from_board.Apply(
          corner + Point((i + 0.5) * region.width_mm / nx, (j + 0.5) * region.height_mm / ny));
      const cv::Point pixel(cvRound(at.x), cvRound(at.y));
      if (!frame.contains(pixel) || seen(pixel) == 0) continue;
      double value = 0;
      for (std::size_t q = 0; q < quarters_k.size(); ++q) {
        times[q].Add(quarters_k[q](pixel));
        value += quarters_k[q](pixel) / static_cast<double>(quarters_k.size());
      }
      all.Add(value);
      parts[static_cast<std::size_t>((2 * j / ny) * 2 + 2 * i / nx)].Add(value);
      largest = std::max(largest, value);
    }
  }
  if (2 * all.count < nx * ny) return std::nullopt;
  RegionNumbers out;
  out.mean_c = all.mean() - kZeroCelsiusK;
  out.max_c = largest - kZeroCelsiusK;
  out.spread_k = all.spread();
  double low = 1e9;
  double high = -1e9;
  for (const Sums& part : parts) {
    if (part.count == 0) continue;
    low = std::min(low, part.mean());
    high = std::max(high, part.mean());
  }
  out.quarters_k = high - low;
  Sums wander;
  for (const Sums& time : times) wander.Add(time.mean());
  out.sigma_k = wander.spread() / std::sqrt(std::max(1.0, wander.count - 1.0));
  return out;
}

}  // namespace ohmglow
