// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/pair_refine.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "align/robust.h"
#include "align/small_map.h"
#include "compare/quiet_spread.h"

namespace ohmglow {
namespace {

constexpr int kMostSteps = 15;
constexpr double kSmallStepPx = 0.005;
constexpr double kLeastSpread = 1.5e-6;
constexpr int kMostParts = 5;
constexpr double kLeastSamples = 6;
constexpr double kUsualSamples = 8;
// Variance of the pictures' differences over that of noise: what registration
// within a capture left over, warm spots, the sensor's pattern. Measured on
// simulated pairs: the errors were half as large again as noise explains.
constexpr double kCaution = 3;

using Normal = MapNormal;
using Vector = MapVector;

std::array<Point, 4> Corners(cv::Size size) {
  const double x = size.width - 1.0;
  const double y = size.height - 1.0;
  return {Point(0, 0), Point(x, 0), Point(0, y), Point(x, y)};
}

struct Equations {
  Normal normal = Normal::Zero();
  Vector right = Vector::Zero();
};

// What the pictures say, in units of their noise. Blurred noise counts once in
// the area over which it is alike.
Equations FromTexture(const Texture& before, const Texture& view, double blur_px) {
  const cv::Size size = before.size();
  const LocalMatch match = MatchLocally(view, before);
  Mask seen;
  // The slopes reach one pixel beyond: leave the rim of the overlap out.
  cv::erode(match.both, seen, cv::Mat::ones(3, 3, CV_8U));
  const Image difference(view.value.mul(match.gain) - before.value);
  Image dx;
  Image dy;
  cv::Sobel(view.value, dx, CV_32F, 1, 0, 3, 1.0 / 8);
  cv::Sobel(view.value, dy, CV_32F, 0, 1, 3, 1.0 / 8);
  const double spread = std::max(kLeastSpread, QuietSpread(difference, seen));
  const double alike_px2 = kCaution * 4 * std::numbers::pi * blur_px * blur_px;
  Equations out;
  for (int y = 0; y < seen.rows; ++y) {
    for (int x = 0; x < seen.cols; ++x) {
      if (seen(y, x) == 0) continue;
      const double error = difference(y, x);
      // Where the two have little in common the slope is one of noise.
      const double weight = internal::TukeyWeight(error, spread) * match.squared(y, x);
      if (weight == 0) continue;
      const Eigen::RowVector2d slope(dx(y, x) * match.gain(y, x), dy(y, x) * match.gain(y, x));
      const Eigen::Matrix<double, 1, kMapFreedom> row = slope * ShiftBy(size, x, y);
      out.normal.selfadjointView<Eigen::Lower>().rankUpdate(row.transpose(), weight);
      out.right -= weight * error * row.transpose();
    }
  }
  out.normal = out.normal.selfadjointView<Eigen::Lower>();
  const double scale = 1 / (spread * spread * alike_px2);
  out.normal *= scale;
  out.right *= scale;
  return out;
}

// The corners lie where the prior puts them, give or take its error.
Equations FromPrior(const FittedMap& prior, const PlaneMap& now, cv::Size size) {
  const double variance = prior.error_px * prior.error_px;
  const PlaneMap start_from_now{prior.after_from_before.Inverse().matrix * now.matrix};
  Equations out;
  for (const Point corner : Corners(size)) {
    const Eigen::Matrix<double, 2, kMapFreedom> by = ShiftBy(size, corner.x, corner.y);
    const Point moved = start_from_now.Apply(corner) - corner;
    out.normal += by.transpose() * by / variance;
    out.right -= by.transpose() * Eigen::Vector2d(moved.x, moved.y) / variance;
  }
  return out;
}

struct MatchedArea {
  double before = 0, after = 0, cross = 0;
  int count = 0;
};

MatchedArea Sum(const Texture& before, const Texture& after, const cv::Rect& area) {
  MatchedArea part;
  for (int y = area.y; y < area.br().y; ++y) {
    for (int x = area.x; x < area.br().x; ++x) {
      if (before.seen(y, x) == 0 || after.seen(y, x) == 0) continue;
      const double b = before.value(y, x);
      const double a = after.value(y, x);
      part.before += b * b;
      part.after += a * a;
      part.cross += a * b;
      ++part.count;
    }
  }
  return part;
}

}  // namespace

StaticView WarpView(const StaticView& after, const PlaneMap& after_from_before, cv::Size size) {
  constexpr int kBack = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
  StaticView out;
  cv::warpPerspective(
      after.picture_k, out.picture_k, after_from_before.matrix, size, kBack, cv::BORDER_REPLICATE);
  cv::warpPerspective(after.seen, out.seen, after_from_before.matrix, size, kBack);
  out.seen = out.seen > 250;
  return out;
}

FittedMap RefinePair(const StaticView& before,
                     const StaticView& after,
                     const PlaneMap& from,
                     const FittedMap& prior,
                     double blur_px) {
  const Texture first = MakeTexture(before, blur_px);
  FittedMap fit{from, prior.error_px};
  for (int n = 0; n < kMostSteps; ++n) {
    const Texture view = MakeTexture(WarpView(after, fit.after_from_before, first.size()), blur_px);
    Equations equations = FromTexture(first, view, blur_px);
    const Equations known = FromPrior(prior, fit.after_from_before, first.size());
    equations.normal += known.normal;
    equations.right += known.right;
    const MapSolution solution = SolveMap(equations.normal, equations.right);
    const Vector& step = solution.parameters;
    if (!step.allFinite()) break;
    const PlaneMap small = SmallMap(step, first.size());
    fit.after_from_before.matrix = fit.after_from_before.matrix * small.matrix;
    fit.after_from_before.matrix *= 1 / fit.after_from_before.matrix(2, 2);
    fit.error_px = ErrorOver(solution.covariance, first.size());
    if (CornerDistance(small, PlaneMap(), first.size()) < kSmallStepPx) break;
  }
  return fit;
}

Likeness MeasureLikeness(const Texture& before, const Texture& after, double blur_px) {
  const cv::Size size = before.size();
  const double alike_px2 = 4 * std::numbers::pi * blur_px * blur_px;
  // A small picture has room for fewer.
  const int parts_each_way = std::clamp(
      static_cast<int>(std::sqrt(size.area() / (alike_px2 * kUsualSamples))), 1, kMostParts);
  const auto edge = [&](int length, int i) { return length * i / parts_each_way; };
  Likeness out;
  double sum_squared = 0;
  double sum_samples = 0;
  for (int j = 0; j < parts_each_way; ++j) {
    for (int i = 0; i < parts_each_way; ++i) {
      const cv::Rect area(cv::Point(edge(size.width, i), edge(size.height, j)),
                          cv::Point(edge(size.width, i + 1), edge(size.height, j + 1)));
      const MatchedArea part = Sum(before, after, area);
      const double samples = part.count / alike_px2;
      if (samples < kLeastSamples || part.before <= 0 || part.after <= 0) continue;
      const double correlation = part.cross / std::sqrt(part.before * part.after);
      sum_squared += samples * correlation * correlation;
      sum_samples += samples;
      ++out.num_parts;
    }
  }
  if (out.num_parts == 0) return out;
  // Each is about one (a squared standard normal) where nothing is alike.
  const double parts = out.num_parts;
  out.z = (sum_squared - parts) / std::sqrt(2 * parts);
  out.agreement = std::sqrt(std::max(0.0, sum_squared - parts) / sum_samples);
  return out;
}

}  // namespace ohmglow
