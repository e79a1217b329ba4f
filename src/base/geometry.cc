// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/base/geometry.h"

#include <cmath>
#include <numbers>

namespace ohmglow {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180.0;

// The linear part of a similarity, s R.
cv::Matx22d Linear(const Similarity& s) {
  const double c = s.scale * std::cos(s.rotation_deg * kRadPerDeg);
  const double d = s.scale * std::sin(s.rotation_deg * kRadPerDeg);
  return {c, -d, d, c};
}

}  // namespace

cv::Matx23d Similarity::Matrix(cv::Size frame_size_px) const {
  const double cx = 0.5 * (frame_size_px.width - 1);
  const double cy = 0.5 * (frame_size_px.height - 1);
  const cv::Matx22d a = Linear(*this);
  return {a(0, 0),
          a(0, 1),
          cx - a(0, 0) * cx - a(0, 1) * cy + dx_px,
          a(1, 0),
          a(1, 1),
          cy - a(1, 0) * cx - a(1, 1) * cy + dy_px};
}

Point Similarity::Apply(Point p, cv::Size frame_size_px) const {
  const cv::Matx23d m = Matrix(frame_size_px);
  return {m(0, 0) * p.x + m(0, 1) * p.y + m(0, 2), m(1, 0) * p.x + m(1, 1) * p.y + m(1, 2)};
}

Similarity Similarity::Inverse() const {
  Similarity inv;
  inv.rotation_deg = -rotation_deg;
  inv.scale = 1 / scale;
  const cv::Vec2d shift = Linear(inv) * cv::Vec2d(dx_px, dy_px);
  inv.dx_px = -shift[0];
  inv.dy_px = -shift[1];
  return inv;
}

Similarity Similarity::After(const Similarity& first) const {
  const cv::Vec2d shift = Linear(*this) * cv::Vec2d(first.dx_px, first.dy_px);
  Similarity joined;
  joined.dx_px = shift[0] + dx_px;
  joined.dy_px = shift[1] + dy_px;
  joined.rotation_deg = rotation_deg + first.rotation_deg;
  joined.scale = scale * first.scale;
  return joined;
}

Point PlaneMap::Apply(Point p) const {
  const cv::Vec3d v = matrix * cv::Vec3d(p.x, p.y, 1);
  return {v[0] / v[2], v[1] / v[2]};
}

PlaneMap PlaneMap::Inverse() const {
  PlaneMap inv{matrix.inv()};
  if (inv.matrix(2, 2) != 0) inv.matrix = inv.matrix * (1 / inv.matrix(2, 2));
  return inv;
}

cv::Matx22d PlaneMap::Jacobian(Point p) const {
  const cv::Vec3d v = matrix * cv::Vec3d(p.x, p.y, 1);
  const double x = v[0] / v[2];
  const double y = v[1] / v[2];
  const auto& m = matrix;
  return {(m(0, 0) - x * m(2, 0)) / v[2],
          (m(0, 1) - x * m(2, 1)) / v[2],
          (m(1, 0) - y * m(2, 0)) / v[2],
          (m(1, 1) - y * m(2, 1)) / v[2]};
}

PlaneMap ToPlaneMap(const Similarity& motion, cv::Size frame_size_px) {
  const cv::Matx23d m = motion.Matrix(frame_size_px);
  return PlaneMap{{m(0, 0), m(0, 1), m(0, 2), m(1, 0), m(1, 1), m(1, 2), 0, 0, 1}};
}

Similarity BestSimilarity(const PlaneMap& map, cv::Size frame_size_px) {
  constexpr int kGrid = 12;
  const Point center(0.5 * (frame_size_px.width - 1), 0.5 * (frame_size_px.height - 1));
  Point shift(0, 0);
  double along = 0, across = 0, square = 0;
  for (int i = 0; i < kGrid; ++i) {
    for (int j = 0; j < kGrid; ++j) {
      // The middles of equal cells: their mean is the centre.
      const Point p(((i + 0.5) / kGrid - 0.5) * frame_size_px.width,
                    ((j + 0.5) / kGrid - 0.5) * frame_size_px.height);
      const Point q = map.Apply(p + center) - center;
      shift += q * (1.0 / (kGrid * kGrid));
      along += p.dot(q);
      across += p.x * q.y - p.y * q.x;
      square += p.dot(p);
    }
  }
  Similarity best;
  best.dx_px = shift.x;
  best.dy_px = shift.y;
  best.rotation_deg = std::atan2(across, along) / kRadPerDeg;
  best.scale = std::hypot(along, across) / square;
  return best;
}

}  // namespace ohmglow
