// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/pair_texture.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "compare/quiet_spread.h"

namespace ohmglow {
namespace {

// Warmth varies over centimetres, parts and edges over millimetres.
constexpr double kBroadOfBlur = 6;
constexpr double kNoises = 2.5;
// Of the window over which contrast may differ.
constexpr double kNearbyPx = 10;
constexpr float kMostGain = 4;

double Determinant(const PlaneMap& map) { return cv::determinant(map.matrix); }

}  // namespace

Image SeenMean(const Image& image, const Image& weight, double sigma_px) {
  Image sum;
  Image norm;
  cv::GaussianBlur(image.mul(weight), sum, {0, 0}, sigma_px, sigma_px, cv::BORDER_CONSTANT);
  cv::GaussianBlur(weight, norm, {0, 0}, sigma_px, sigma_px, cv::BORDER_CONSTANT);
  return Image(sum / (norm + 1e-6F));
}

Texture MakeTexture(const StaticView& view, double blur_px) {
  Image weight;
  view.seen.convertTo(weight, CV_32F, 1.0 / 255);
  Image picture = view.picture_k.clone();
  cv::patchNaNs(picture, 0);
  const float level = static_cast<float>(cv::mean(picture, view.seen)[0]);
  picture -= level;
  const Image fine(SeenMean(picture, weight, blur_px) -
                   SeenMean(picture, weight, kBroadOfBlur * blur_px));
  // Above the noise (most of a board is plain) an edge is an edge, whatever the
  // contrast: a shiny screw must not drown the rest.
  const double noise = kNoises * QuietSpread(fine, view.seen) + 1e-9;
  Texture out{Image(fine.size()), view.seen.clone()};
  for (int y = 0; y < fine.rows; ++y) {
    for (int x = 0; x < fine.cols; ++x) {
      const double v = fine(y, x);
      out.value(y, x) = static_cast<float>(v / std::hypot(v, noise));
    }
  }
  out.value.setTo(0, out.seen == 0);
  return out;
}

Texture Shrink(const Texture& texture, int factor) {
  Texture out;
  const cv::Size size(texture.size().width / factor, texture.size().height / factor);
  const cv::Rect whole(0, 0, size.width * factor, size.height * factor);
  cv::resize(texture.value(whole), out.value, size, 0, 0, cv::INTER_AREA);
  cv::resize(texture.seen(whole), out.seen, size, 0, 0, cv::INTER_AREA);
  out.seen = out.seen > 127;
  return out;
}

PlaneMap ShrinkMap(const PlaneMap& map, double factor) {
  // Pixel centres at whole numbers: small = (large - (factor - 1) / 2) / factor.
  const double shift = (factor - 1) / 2;
  const cv::Matx33d large_from_small(factor, 0, shift, 0, factor, shift, 0, 0, 1);
  return PlaneMap{large_from_small.inv() * map.matrix * large_from_small};
}

Texture WarpTexture(const Texture& source, const PlaneMap& source_from_target, cv::Size size) {
  Texture out{Image(size, 0.0F), Mask(size, uchar{0})};
  if (std::abs(Determinant(source_from_target)) < 1e-12) return out;
  constexpr int kBack = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
  cv::warpPerspective(source.value, out.value, source_from_target.matrix, size, kBack);
  cv::warpPerspective(source.seen, out.seen, source_from_target.matrix, size, kBack);
  out.seen = out.seen > 250;
  out.value.setTo(0, out.seen == 0);
  return out;
}

LocalMatch MatchLocally(const Texture& a, const Texture& b) {
  LocalMatch out;
  out.both = a.seen & b.seen;
  Image weight;
  out.both.convertTo(weight, CV_32F, 1.0 / 255);
  const Image cross = SeenMean(Image(a.value.mul(b.value)), weight, kNearbyPx);
  const Image own_a = SeenMean(Image(a.value.mul(a.value)), weight, kNearbyPx);
  const Image own_b = SeenMean(Image(b.value.mul(b.value)), weight, kNearbyPx);
  out.gain = Image(cross.size(), 0.0F);
  out.squared = Image(cross.size(), 0.0F);
  out.weight = Image(cross.size(), 0.0F);
  for (int y = 0; y < cross.rows; ++y) {
    for (int x = 0; x < cross.cols; ++x) {
      if (out.both(y, x) == 0) continue;
      const float product = own_a(y, x) * own_b(y, x);
      if (product <= 0) continue;
      out.gain(y, x) = std::clamp(cross(y, x) / own_a(y, x), -kMostGain, kMostGain);
      out.squared(y, x) = cross(y, x) * cross(y, x) / product;
      out.weight(y, x) = std::sqrt(product);
    }
  }
  return out;
}

Texture EdgesOf(const Texture& texture) {
  Image weight;
  texture.seen.convertTo(weight, CV_32F, 1.0 / 255);
  const Image size(cv::abs(texture.value));
  Texture out{Image(size - SeenMean(size, weight, kNearbyPx)), texture.seen.clone()};
  out.value.setTo(0, out.seen == 0);
  return out;
}

double CornerDistance(const PlaneMap& a, const PlaneMap& b, cv::Size size) {
  double largest = 0;
  for (const double x : {0.0, size.width - 1.0}) {
    for (const double y : {0.0, size.height - 1.0}) {
      largest = std::max(largest, cv::norm(a.Apply({x, y}) - b.Apply({x, y})));
    }
  }
  return largest;
}

}  // namespace ohmglow
