// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/shrink.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>

#include "align/prepare.h"
#include "align/robust.h"

namespace ohmglow::internal {
namespace {

constexpr double kSplitPx = 2;  // Gaussian that parts the band into a fine and a broad half.
constexpr int kLocalPx = 9;     // Box of the local variance.
constexpr int kReachPx = 32;    // Half side of the field in which the band's kernel dies out.

Image Smoothed(const Image& image) {
  Image out;
  cv::GaussianBlur(image, out, cv::Size(13, 13), kSplitPx, kSplitPx, cv::BORDER_REFLECT_101);
  return out;
}

// Autocorrelation of a kernel along +x by whole pixels.
std::vector<double> Autocorrelation(const Image& kernel) {
  std::vector<double> out(kReachPx);
  for (int lag = 0; lag < kReachPx; ++lag) {
    const cv::Rect here(0, 0, kernel.cols - lag, kernel.rows);
    const cv::Rect there(lag, 0, kernel.cols - lag, kernel.rows);
    out[static_cast<std::size_t>(lag)] = kernel(here).dot(kernel(there));
  }
  return out;
}

double At(const std::vector<double>& correlation, double lag) {
  const double last = static_cast<double>(correlation.size()) - 2;
  if (!(lag < last)) return 0;
  const auto i = static_cast<std::size_t>(lag);
  const double t = lag - static_cast<double>(i);
  return (1 - t) * correlation[i] + t * correlation[i + 1];
}

// Variance that a white pattern of variance 1 keeps in the mean of the frames
// moved back.
double Smeared(const std::vector<double>& correlation, const std::vector<Motion>& motion) {
  double sum = 0;
  for (const Motion& a : motion) {
    for (const Motion& b : motion) {
      sum += At(correlation, std::hypot(a(0, 2) - b(0, 2), a(1, 2) - b(1, 2)));
    }
  }
  return std::max(0.0, sum / static_cast<double>(motion.size() * motion.size()));
}

// The part times the share of its local variance that `alien` does not explain.
Image Weighted(const Image& part, double alien) {
  Image variance;
  cv::multiply(part, part, variance);
  cv::blur(variance, variance, cv::Size(kLocalPx, kLocalPx), {-1, -1}, cv::BORDER_REFLECT_101);
  Image out(part.size());
  for (int r = 0; r < part.rows; ++r) {
    for (int c = 0; c < part.cols; ++c) {
      const float v = variance(r, c);
      const float excess = v - static_cast<float>(alien);
      out(r, c) = excess > 0 ? part(r, c) * excess / v : 0.0F;
    }
  }
  return out;
}

}  // namespace

double WhitePartOf(const Image& mean_k) {
  const cv::Matx13f second(1, -2, 1);
  Image rough;
  cv::sepFilter2D(mean_k, rough, CV_32F, second, second);
  std::vector<float> values(rough.begin(), rough.end());
  return RobustSigmaInPlace(values) / 6;  // (1 + 4 + 1) both ways.
}

Image SceneOf(const Image& mean_band_k,
              const std::vector<Motion>& motion,
              double pattern_k,
              double noise_k) {
  Image impulse(2 * kReachPx + 1, 2 * kReachPx + 1, 0.0F);
  impulse(kReachPx, kReachPx) = 1;
  Image kernel;
  FramePreparer(Mask(impulse.size(), static_cast<unsigned char>(255))).BandPass(impulse, kernel);
  const Image broad_kernel = Smoothed(kernel);
  const Image broad = Smoothed(mean_band_k);
  const auto alien = [&](const Image& k) {
    const std::vector<double> correlation = Autocorrelation(k);
    return pattern_k * pattern_k * Smeared(correlation, motion) +
           noise_k * noise_k * correlation[0];
  };
  const Image fine_kernel(kernel - broad_kernel), fine(mean_band_k - broad);
  Image scene;
  cv::add(Weighted(fine, alien(fine_kernel)), Weighted(broad, alien(broad_kernel)), scene);
  return scene;
}

}  // namespace ohmglow::internal
