// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/background_spectrum.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

#include "base/median.h"

namespace ohmglow {
namespace {

constexpr std::size_t kNumRings = 24;
// Rings of fewer entries are joined with the next: their median says little.
constexpr std::size_t kLeastEntries = 24;
// A ring is told from white noise when it exceeds it by this many standard
// errors of its median; one that is quieter is white by chance.
constexpr double kErrors = 2;
// Lines of the picture's own grid that the window makes one, along each axis.
constexpr double kWindowLines = 1.94;

// Hann window over the picture, as a person would hold a hand over its rim.
Image Window(cv::Size size_px) {
  Image window(size_px);
  for (int y = 0; y < size_px.height; ++y) {
    const double fy = std::sin(std::numbers::pi * (y + 0.5) / size_px.height);
    for (int x = 0; x < size_px.width; ++x) {
      const double fx = std::sin(std::numbers::pi * (x + 0.5) / size_px.width);
      window(y, x) = static_cast<float>(fx * fx * fy * fy);
    }
  }
  return window;
}

// Squared magnitude of each frequency of the packed half plane, once each.
// The two columns that are packed along y are few and are left out.
std::vector<std::vector<float>> Rings(const Image& spectrum,
                                      const PaddedPlane& plane,
                                      const BackgroundSpectrum& out) {
  std::vector<std::vector<float>> rings(kNumRings);
  const double per_log = static_cast<double>(kNumRings - 1) / std::log(out.last_k / out.first_k);
  for (int y = 0; y < spectrum.rows; ++y) {
    for (int x = 1; x + 1 < spectrum.cols; x += 2) {
      const double k = plane.k()(y, x);
      if (k > out.last_k) continue;
      const double ring = std::max(0.0, std::log(k / out.first_k)) * per_log;
      rings[static_cast<std::size_t>(std::lround(ring))].push_back(
          spectrum(y, x) * spectrum(y, x) + spectrum(y, x + 1) * spectrum(y, x + 1));
    }
  }
  return rings;
}

}  // namespace

Image BackgroundSpectrum::Filter(const PaddedPlane& plane, double exponent) const {
  std::vector<float> powers = table;
  for (float& power : powers) power = std::pow(power, static_cast<float>(exponent));
  return plane.Filter(powers, first_k, last_k);
}

BackgroundSpectrum MeasureBackground(const Image& picture,
                                     const Image& quiet,
                                     const PaddedPlane& plane) {
  const Image weight(Window(picture.size()).mul(quiet));
  Image padded(plane.size_px(), 0.0F);
  Image(weight.mul(picture)).copyTo(padded(plane.picture()));
  PaddedPlane::Forward(padded);

  BackgroundSpectrum out;
  // The window smears each frequency over two lines of the picture's own grid.
  out.first_k = 2 * std::numbers::pi / std::max(picture.cols, picture.rows);
  out.last_k = std::numbers::pi;
  std::vector<std::vector<float>> rings = Rings(padded, plane, out);
  const auto unit =
      static_cast<float>(1 / (std::numbers::ln2 * std::max(weight.dot(weight), 1e-12)));
  // Neighbours on the padded grid say the same; half of the plane is kept.
  const double independent = static_cast<double>(picture.size().area()) /
                             (plane.size_px().area() * kWindowLines * kWindowLines);
  out.table.assign(kNumRings, 1.0F);
  std::vector<float> joined;
  std::size_t first = 0;
  for (std::size_t i = 0; i < kNumRings; ++i) {
    joined.insert(joined.end(), rings[i].begin(), rings[i].end());
    if (joined.size() < kLeastEntries && i + 1 < kNumRings) continue;
    const float power = joined.empty() ? 1.0F : unit * MedianOf(joined);
    // Of the median of n exponential values: 1/(ln 2 sqrt(n)) of it.
    const double num = std::max(1.0, static_cast<double>(joined.size()) * independent);
    const double beyond = power - 1 - kErrors / (std::numbers::ln2 * std::sqrt(num));
    for (; first <= i; ++first) out.table[first] = static_cast<float>(1 + std::max(0.0, beyond));
    joined.clear();
  }
  return out;
}

}  // namespace ohmglow
