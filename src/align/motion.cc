// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/motion.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmglow::internal {
namespace {

constexpr double kDegPerRad = 180.0 / std::numbers::pi;

// Mean over the frame of x^2, x^4 and of the same for y, x^2 y^2, for a width
// and height of continuous sides.
struct Moments {
  explicit Moments(cv::Size size)
      : xx(size.width * size.width / 12.0),
        yy(size.height * size.height / 12.0),
        xxxx(xx * xx * 1.8),
        yyyy(yy * yy * 1.8) {}
  double xx, yy, xxxx, yyyy;
};

}  // namespace

int NumParameters(MotionModel model) {
  switch (model) {
    case MotionModel::kShift:
      return 2;
    case MotionModel::kRigid:
      return 3;
    case MotionModel::kSimilarity:
      return 4;
    case MotionModel::kProjective:
      break;
  }
  return kMostParameters;
}

double RmsRadius(cv::Size size_px) {
  const double w = size_px.width;
  const double h = size_px.height;
  return std::sqrt((w * w + h * h - 2) / 12);
}

Point PerspectiveScale(cv::Size size_px) {
  const Moments m(size_px);
  return {std::sqrt(m.xxxx + m.xx * m.yy), std::sqrt(m.yyyy + m.xx * m.yy)};
}

Motion ToMotion(const Similarity& s) {
  const double c = s.scale * std::cos(s.rotation_deg / kDegPerRad);
  const double d = s.scale * std::sin(s.rotation_deg / kDegPerRad);
  return {c, -d, s.dx_px, d, c, s.dy_px, 0, 0, 1};
}

MotionVector ToVector(const Motion& m, cv::Size size_px) {
  const double radius = RmsRadius(size_px);
  const Point perspective = PerspectiveScale(size_px);
  const double c = 0.5 * (m(0, 0) + m(1, 1));
  const double d = 0.5 * (m(1, 0) - m(0, 1));
  return {m(0, 2),
          m(1, 2),
          std::atan2(d, c) * radius,
          std::log(std::hypot(c, d)) * radius,
          0.5 * (m(0, 0) - m(1, 1)) * radius,
          0.5 * (m(1, 0) + m(0, 1)) * radius,
          -m(2, 0) * perspective.x,
          -m(2, 1) * perspective.y};
}

Motion FromVector(const MotionVector& v, cv::Size size_px) {
  const double radius = RmsRadius(size_px);
  const Point perspective = PerspectiveScale(size_px);
  const double scale = std::exp(v[3] / radius);
  const double c = scale * std::cos(v[2] / radius);
  const double d = scale * std::sin(v[2] / radius);
  const double e = v[4] / radius;
  const double f = v[5] / radius;
  return {c + e, f - d, v[0], d + f, c - e, v[1], -v[6] / perspective.x, -v[7] / perspective.y, 1};
}

Motion InverseOf(const Motion& motion) {
  const Motion inverse = motion.inv();
  return inverse * (1 / inverse(2, 2));
}

Motion Joined(const Motion& motion, const Motion& first) {
  const Motion joined = motion * first;
  return joined * (1 / joined(2, 2));
}

PlaneMap ToPlaneMap(const Motion& motion, cv::Size size_px) {
  const double cx = 0.5 * (size_px.width - 1);
  const double cy = 0.5 * (size_px.height - 1);
  const cv::Matx33d to_center(1, 0, -cx, 0, 1, -cy, 0, 0, 1);
  const cv::Matx33d back(1, 0, cx, 0, 1, cy, 0, 0, 1);
  const cv::Matx33d m = back * motion * to_center;
  return PlaneMap{m * (1 / m(2, 2))};
}

double MeanSquare(const MotionMatrix& covariance_px2, cv::Size size_px) {
  // The fields are orthogonal but for shift and perspective: the mean of
  // (x^2, x y) is (xx, 0), that of (x y, y^2) is (0, yy).
  const Moments m(size_px);
  const Point perspective = PerspectiveScale(size_px);
  return cv::trace(covariance_px2) + 2 * covariance_px2(0, 6) * m.xx / perspective.x +
         2 * covariance_px2(1, 7) * m.yy / perspective.y;
}

double DisplacementPx(const MotionVector& v, cv::Size size_px) {
  return std::sqrt(std::max(0.0, MeanSquare(v * v.t(), size_px)));
}

}  // namespace ohmglow::internal
