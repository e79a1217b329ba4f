// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/photo_refine.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "align/small_map.h"
#include "base/median.h"
#include "base/simd_clones.h"

namespace ohmglow {
namespace {

struct Round {
  int area_px;   // Side of an area.
  int reach_px;  // How far it is moved.
  int freedom;   // Parameters of the map that are free: 6 affine, 8 projective.
};

// From coarse to fine; the last is repeated.
constexpr std::array<Round, 4> kRounds = {{{48, 9, 6}, {40, 7, 8}, {32, 5, 8}, {26, 3, 8}}};
constexpr int kLargePx = 40;
constexpr double kLeastAreaZ = 2;
constexpr double kLeastAreaShare = 0.5;
// Areas overlap by half each way: each place votes about four times.
constexpr double kVotes = 4;
// Prior spread of the parameters, in half widths: what a search leaves open.
constexpr double kPriorTurn = 0.1;
constexpr double kPriorPerspective = 0.08;

struct Vote {
  Point at;
  Point shift;
  double weight = 0;
};

// Position of a parabola's top through three values, -0.5 .. 0.5.
double Top(double before, double middle, double after) {
  const double bend = before - 2 * middle + after;
  return bend < 0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
}

// Eight shifts side by side: each is summed up in the same order as alone, whatever the machine
// has.
using Lanes [[gnu::vector_size(32)]] = float;
constexpr int kLanes = 8;

// A view's directions and their squared size; behind each row there is room for kLanes more.
struct Planes {
  Image x, y, squared;
};

Planes PlanesOf(const EdgeField& view) {
  const cv::Size size(view.size().width + kLanes, view.size().height);
  Planes out{Image(size, 0.0F), Image(size, 0.0F), Image(size, 0.0F)};
  for (int row = 0; row < view.size().height; ++row) {
    for (int col = 0; col < view.size().width; ++col) {
      const cv::Vec2f& v = view.value(row, col);
      out.x(row, col) = v[0];
      out.y(row, col) = v[1];
      out.squared(row, col) = v[0] * v[0] + v[1] * v[1];
    }
  }
  return out;
}

// One row of an area against a view's, moved by 0 to 7 pixels.
OHMGLOW_SIMD_CLONES
void AddRow(const float* area,
            int width,
            int stride,
            const std::array<const float*, 3>& view,
            float* cross,
            float* other) {
  Lanes c, o;
  std::memcpy(&c, cross, sizeof c);
  std::memcpy(&o, other, sizeof o);
  for (int i = 0; i < width; i += stride) {
    Lanes x, y, squared;
    std::memcpy(&x, view[0] + i, sizeof x);
    std::memcpy(&y, view[1] + i, sizeof y);
    std::memcpy(&squared, view[2] + i, sizeof squared);
    c += area[2 * i] * x + area[2 * i + 1] * y;
    o += squared;
  }
  std::memcpy(cross, &c, sizeof c);
  std::memcpy(other, &o, sizeof o);
}

// Correlation of one area of the frame with the photo's view, for every shift.
Image AreaMatch(
    const EdgeField& frame, const Planes& view, const cv::Rect& area, int reach, double alike_px2) {
  const int side = 2 * reach + 1;
  Image match(side, side);
  double own = 0;
  int count = 0;
  // Edges are some pixels wide: large areas need not be read in full.
  const int stride = area.width >= kLargePx ? 2 : 1;
  for (int y = area.y; y < area.br().y; y += stride) {
    for (int x = area.x; x < area.br().x; x += stride) {
      if (frame.seen(y, x) == 0) continue;
      own += frame.value(y, x).dot(frame.value(y, x));
      ++count;
    }
  }
  if (count * stride * stride < kLeastAreaShare * area.area() || !(own > 0)) return {};
  const double scale = std::sqrt(2 * count * stride * stride / alike_px2);
  for (int dy = 0; dy < side; ++dy) {
    for (int dx = 0; dx < side; dx += kLanes) {
      std::array<float, kLanes> cross{};
      std::array<float, kLanes> other{};
      for (int y = area.y; y < area.br().y; y += stride) {
        const int col = area.x + dx;
        AddRow(frame.value(y, area.x).val,
               area.width,
               stride,
               {&view.x(y + dy, col), &view.y(y + dy, col), &view.squared(y + dy, col)},
               cross.data(),
               other.data());
      }
      for (int k = 0; k < std::min(kLanes, side - dx); ++k) {
        const auto n = static_cast<std::size_t>(k);
        const double energy = own * static_cast<double>(other[n]) + 1e-9;
        match(dy, dx + k) = static_cast<float>(cross[n] / std::sqrt(energy) * scale);
      }
    }
  }
  return match;
}

std::vector<Vote> Votes(const EdgeField& frame,
                        const EdgeField& view,
                        const Round& round,
                        double blur_px) {
  const double alike_px2 = 4 * std::numbers::pi * blur_px * blur_px;
  std::vector<Vote> votes;
  const int step = round.area_px / 2;
  const Planes planes = PlanesOf(view);
  for (int y = 0; y + round.area_px <= frame.size().height; y += step) {
    for (int x = 0; x + round.area_px <= frame.size().width; x += step) {
      const cv::Rect area(x, y, round.area_px, round.area_px);
      const Image match = AreaMatch(frame, planes, area, round.reach_px, alike_px2);
      if (match.empty()) continue;
      double best = 0;
      cv::Point at;
      cv::minMaxLoc(match, nullptr, &best, nullptr, &at);
      if (best < kLeastAreaZ || at.x == 0 || at.y == 0 || at.x + 1 == match.cols ||
          at.y + 1 == match.rows) {
        continue;
      }
      const Point top(Top(match(at.y, at.x - 1), best, match(at.y, at.x + 1)),
                      Top(match(at.y - 1, at.x), best, match(at.y + 1, at.x)));
      const double half = (round.area_px - 1) / 2.0;
      votes.push_back({Point(x + half, y + half),
                       Point(at.x - round.reach_px, at.y - round.reach_px) + top,
                       best * best});
    }
  }
  return votes;
}

struct Consensus {
  MapVector parameters = MapVector::Zero();
  double error_px = 0;
};

double MedianError(const std::vector<Vote>& votes, const MapVector& p, cv::Size size) {
  std::vector<double> errors;
  for (const Vote& v : votes) {
    const Eigen::Vector2d d = ShiftBy(size, v.at.x, v.at.y) * p;
    errors.push_back(std::hypot(d[0] - v.shift.x, d[1] - v.shift.y));
  }
  return MedianOf(errors);
}

// Iteratively reweighted with Cauchy weights: areas that fit elsewhere by
// chance are as many as those that fit.
Consensus Join(const std::vector<Vote>& votes, cv::Size size, int freedom) {
  Consensus out;
  if (votes.size() < 4) {
    out.error_px = size.width;
    return out;
  }
  double mean_weight = 0;
  for (const Vote& v : votes) mean_weight += v.weight / static_cast<double>(votes.size());
  double spread = 4;
  for (int n = 0; n < 12; ++n) {
    MapNormal normal = MapNormal::Zero();
    MapVector right = MapVector::Zero();
    for (const Vote& v : votes) {
      const Eigen::Matrix<double, 2, kMapFreedom> by = ShiftBy(size, v.at.x, v.at.y);
      const Eigen::Vector2d d(v.shift.x, v.shift.y);
      const double off = (d - by * out.parameters).norm() / spread;
      const double w = v.weight / mean_weight / (1 + off * off) / (spread * spread * kVotes);
      normal += w * by.transpose() * by;
      right += w * by.transpose() * d;
    }
    for (int k = 2; k < kMapFreedom; ++k) {
      const double prior = k < 6 ? kPriorTurn : (freedom > 6 ? kPriorPerspective : 1e-5);
      normal(k, k) += 1 / (prior * prior);
    }
    const MapSolution solution = SolveMap(normal, right);
    out.parameters = solution.parameters;
    spread = std::clamp(MedianError(votes, out.parameters, size), 0.25, 4.0);
    out.error_px = ErrorOver(solution.covariance, size);
  }
  return out;
}

EdgeField ViewOf(const PhotoLevels& photo,
                 const PlaneMap& map,
                 cv::Size size,
                 int margin,
                 double blur_px,
                 double least_noise) {
  const cv::Matx33d inner_from_outer(1, 0, -margin, 0, 1, -margin, 0, 0, 1);
  const StaticView view = SeenThrough(photo,
                                      PlaneMap{map.matrix * inner_from_outer},
                                      {size.width + 2 * margin, size.height + 2 * margin});
  return MakeEdges(view.picture_k, view.seen, blur_px, least_noise);
}

}  // namespace

RefinedMap RefinePhotoMap(const EdgeField& frame,
                          const PhotoLevels& photo,
                          const PlaneMap& start,
                          double blur_px,
                          int first,
                          int rounds,
                          double least_noise) {
  RefinedMap out{start, 0, 0};
  const cv::Size size = frame.size();
  for (int n = first; n < first + rounds; ++n) {
    const Round round = kRounds[std::min(static_cast<std::size_t>(n), kRounds.size() - 1)];
    const EdgeField view =
        ViewOf(photo, out.photo_from_frame, size, round.reach_px, blur_px, least_noise);
    const Consensus c = Join(Votes(frame, view, round, blur_px), size, round.freedom);
    out.photo_from_frame.matrix = out.photo_from_frame.matrix * SmallMap(c.parameters, size).matrix;
    out.photo_from_frame.matrix *= 1 / out.photo_from_frame.matrix(2, 2);
    out.error_px = c.error_px;
  }
  out.z =
      Likeness(frame, ViewOf(photo, out.photo_from_frame, size, 0, blur_px, least_noise), blur_px);
  return out;
}

}  // namespace ohmglow
