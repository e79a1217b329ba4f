// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/seen_blur.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace ohmglow {
namespace {

// A wide mean is taken on a shrunk picture, no coarser than so many of its
// pixels to the standard deviation.
constexpr double kPixelsPerSigma = 3;

}  // namespace

SeenBlur::SeenBlur(const Mask& seen, double sigma_px) : sigma_px_(sigma_px) {
  seen.convertTo(weight_, CV_32F, 1.0 / 255);
  norm_ = Image(Blur(weight_, sigma_px_) + 1e-6F);
}

Image SeenBlur::operator()(const Image& image) const {
  return Image(Blur(Image(image.mul(weight_)), sigma_px_) / norm_);
}

Image SeenBlur::NoiseGain() const {
  // The squared weights are a Gaussian again, narrower by the root of two.
  Image gain;
  cv::sqrt(Blur(weight_, sigma_px_ / std::numbers::sqrt2), gain);
  return Image(gain / norm_ * (1 / (2 * sigma_px_ * std::sqrt(std::numbers::pi))));
}

Image SeenBlur::Blur(const Image& image, double sigma_px) const {
  Image out;
  const int shrink = static_cast<int>(sigma_px / kPixelsPerSigma);
  if (shrink < 2) {
    cv::GaussianBlur(image, out, {0, 0}, sigma_px, sigma_px, cv::BORDER_CONSTANT);
    return out;
  }
  // Padded to whole blocks with what lies beyond the picture: nothing.
  const int pad_x = (shrink - image.cols % shrink) % shrink;
  const int pad_y = (shrink - image.rows % shrink) % shrink;
  Image padded = image;
  if (pad_x > 0 || pad_y > 0) {
    cv::copyMakeBorder(image, padded, 0, pad_y, 0, pad_x, cv::BORDER_CONSTANT, 0);
  }
  Image small;
  cv::resize(padded, small, padded.size() / shrink, 0, 0, cv::INTER_AREA);
  const double small_sigma = sigma_px / shrink;
  cv::GaussianBlur(small, small, {0, 0}, small_sigma, small_sigma, cv::BORDER_CONSTANT);
  cv::resize(small, out, padded.size(), 0, 0, cv::INTER_LINEAR);
  return Image(out(cv::Rect({0, 0}, image.size())));
}

}  // namespace ohmglow
