// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/small_map.h"

#include <cmath>

namespace ohmglow {
namespace {

// Places counted from the centre in units of half the width.
Point Local(cv::Size size, double x, double y) {
  const double unit = size.width / 2.0;
  return {(x - (size.width - 1) / 2.0) / unit, (y - (size.height - 1) / 2.0) / unit};
}

}  // namespace

Eigen::Matrix<double, 2, kMapFreedom> ShiftBy(cv::Size size, double x, double y) {
  const Point p = Local(size, x, y);
  const double u = p.x;
  const double v = p.y;
  Eigen::Matrix<double, 2, kMapFreedom> m;
  m << 1, 0, -v, u, u, v, u * u, u * v,  //
      0, 1, u, v, -v, u, u * v, v * v;
  return size.width / 2.0 * m;
}

PlaneMap SmallMap(const MapVector& p, cv::Size size) {
  const cv::Matx33d local(
      1 + p(3) + p(4), -p(2) + p(5), p(0), p(2) + p(5), 1 + p(3) - p(4), p(1), -p(6), -p(7), 1);
  const Point origin = Local(size, 0, 0);
  const double per_px = 2.0 / size.width;
  const cv::Matx33d local_from_px(per_px, 0, origin.x, 0, per_px, origin.y, 0, 0, 1);
  return PlaneMap{local_from_px.inv() * local * local_from_px};
}

MapSolution SolveMap(const MapNormal& normal, const MapVector& right) {
  const Eigen::LDLT<MapNormal> solver(normal);
  return {solver.solve(right), solver.solve(MapNormal::Identity())};
}

double ErrorOver(const MapNormal& covariance, cv::Size size) {
  double sum = 0;
  int count = 0;
  for (double y = 0.1; y < 1; y += 0.2) {
    for (double x = 0.1; x < 1; x += 0.2) {
      const auto by = ShiftBy(size, x * size.width, y * size.height);
      sum += (by * covariance * by.transpose()).trace();
      ++count;
    }
  }
  return std::sqrt(sum / count);
}

}  // namespace ohmglow
