// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "check/local_shift.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <opencv2/imgproc.hpp>

#include "align/robust.h"

namespace ohmglow::internal {
namespace {

constexpr int kBroadPx = 11;  // Box of what counts as broad.
constexpr int kRimPx = 6;     // The box reaches over the rim there.
constexpr double kTukey = 4.685;
constexpr int kReweightings = 3;
constexpr double kTellsPx = 0.3;
constexpr std::size_t kLeastPlaces = 50;

Image WithoutBroad(const Image& image) {
  Image broad;
  cv::blur(image, broad, cv::Size(kBroadPx, kBroadPx), {-1, -1}, cv::BORDER_REFLECT_101);
  return Image(image - broad);
}

// A place of the tile with all that the fit needs.
struct Place {
  int x, y;
  cv::Vec3d basis;  // Slope along x, along y [K/px], picture [K].
};

std::vector<Place> PlacesOf(const cv::Rect& tile, const Image& picture_k, const Mask& seen) {
  std::vector<Place> places;
  const cv::Rect inner =
      tile & cv::Rect(kRimPx, kRimPx, picture_k.cols - 2 * kRimPx, picture_k.rows - 2 * kRimPx);
  for (int y = inner.y; y < inner.br().y; ++y) {
    for (int x = inner.x; x < inner.br().x; ++x) {
      if (!seen(y, x)) continue;
      const double dx = 0.5 * (static_cast<double>(picture_k(y, x + 1)) - picture_k(y, x - 1));
      const double dy = 0.5 * (static_cast<double>(picture_k(y + 1, x)) - picture_k(y - 1, x));
      places.push_back({x, y, {dx, dy, static_cast<double>(picture_k(y, x))}});
    }
  }
  return places;
}

struct BinShift {
  cv::Vec2d shift_px;
  double variance_px2 = 0;  // Of both axes together.
};

// Robust least squares of one bin; false where the slopes do not fix the shift.
bool FitBin(const std::vector<Place>& places, const Image& detail_k, BinShift& out) {
  std::vector<double> residual(places.size());
  cv::Vec3d answer;
  double sigma = 0;
  cv::Matx33d inverse;
  for (int pass = 0; pass <= kReweightings; ++pass) {
    for (std::size_t i = 0; i < places.size(); ++i) {
      const Place& p = places[i];
      residual[i] = static_cast<double>(detail_k(p.y, p.x)) - answer.dot(p.basis);
    }
    std::vector<double> spread = residual;
    sigma = std::max(1e-9, RobustSigmaInPlace(spread));
    cv::Matx33d normal;
    cv::Vec3d right;
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double t = 1 - std::pow(residual[i] / (kTukey * sigma), 2);
      if (t <= 0) continue;
      const Place& p = places[i];
      const double w = t * t;
      normal += w * (p.basis * p.basis.t());
      right += w * static_cast<double>(detail_k(p.y, p.x)) * p.basis;
    }
    bool ok = false;
    inverse = normal.inv(cv::DECOMP_CHOLESKY, &ok);
    if (!ok) return false;
    answer = inverse * right;
  }
  // A picture that moves by s shows picture(p - s): minus the slope times s.
  out.shift_px = {-answer[0], -answer[1]};
  out.variance_px2 = sigma * sigma * (inverse(0, 0) + inverse(1, 1));
  return std::isfinite(out.variance_px2);
}

LocalShift MeasureTile(const cv::Rect& tile,
                       const std::vector<Image>& detail_k,
                       const Stack& stack,
                       const Image& picture_k) {
  LocalShift result{tile, std::nullopt, 0};
  const std::vector<Place> places = PlacesOf(tile, picture_k, stack.seen);
  if (places.size() < kLeastPlaces) return result;
  double square = 0, noise = 0, frames = 0;
  std::vector<double> variances;
  for (std::size_t b = 0; b < detail_k.size(); ++b) {
    BinShift bin;
    if (!FitBin(places, detail_k[b], bin)) return result;
    const double n = stack.num_frames[b];
    square += n * bin.shift_px.dot(bin.shift_px);
    noise += n * bin.variance_px2;
    frames += n;
    variances.push_back(bin.variance_px2);
  }
  result.sigma_px = std::sqrt(MedianInPlace(variances));
  if (!(result.sigma_px < kTellsPx)) return result;
  result.leftover_px = std::sqrt(std::max(0.0, square - noise) / frames);
  return result;
}

}  // namespace

std::vector<Image> FineDetail(const Stack& stack) {
  std::map<int, std::pair<Image, double>> sums;
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    auto& [sum, frames] = sums[stack.segment[b]];
    if (sum.empty()) sum = Image(stack.size_px(), 0.0F);
    sum += stack.num_frames[b] * stack.bins_k[b];
    frames += stack.num_frames[b];
  }
  std::vector<Image> detail;
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    const auto& [sum, frames] = sums.at(stack.segment[b]);
    detail.push_back(WithoutBroad(Image(stack.bins_k[b] - sum / frames)));
  }
  return detail;
}

Image RmsDetail(const std::vector<Image>& detail_k, const Stack& stack) {
  Image square(stack.size_px(), 0.0F);
  double frames = 0;
  for (std::size_t b = 0; b < detail_k.size(); ++b) {
    square += stack.num_frames[b] * detail_k[b].mul(detail_k[b]);
    frames += stack.num_frames[b];
  }
  square /= frames;
  cv::sqrt(square, square);
  square.setTo(0, stack.seen == 0);
  return square;
}

std::vector<LocalShift> MeasureLocalShifts(const std::vector<Image>& detail_k,
                                           const Stack& stack,
                                           const Image& static_k,
                                           int across,
                                           int down) {
  const Image picture_k = WithoutBroad(static_k);
  std::vector<LocalShift> tiles;
  for (int row = 0; row < down; ++row) {
    for (int col = 0; col < across; ++col) {
      const cv::Point from(static_k.cols * col / across, static_k.rows * row / down);
      const cv::Point to(static_k.cols * (col + 1) / across, static_k.rows * (row + 1) / down);
      tiles.push_back(MeasureTile(cv::Rect(from, to), detail_k, stack, picture_k));
    }
  }
  return tiles;
}

}  // namespace ohmglow::internal
