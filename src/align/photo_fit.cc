// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/photo_fit.h"

#include <cmath>
#include <limits>

#include "base/decompose.h"

namespace ohmglow {
namespace {

constexpr int kGaussNewtonSteps = 12;
constexpr int kHalvings = 6;

std::vector<Point> Side(const PointPairs& pairs, Point PointPair::*side) {
  std::vector<Point> points;
  points.reserve(pairs.size());
  for (const PointPair& p : pairs) points.push_back(p.*side);
  return points;
}

// Linear start: both sides multiplied by the denominator.
Eigen::VectorXd LinearFit(const PointPairs& pairs, int size) {
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(2 * static_cast<int>(pairs.size()), size);
  Eigen::VectorXd b(a.rows());
  for (int i = 0; i < static_cast<int>(pairs.size()); ++i) {
    const auto& [p, q, row] = pairs[static_cast<std::size_t>(i)];
    a.block<1, 3>(2 * i, 0) << p.x, p.y, 1;
    a.block<1, 3>(2 * i + 1, 3) << p.x, p.y, 1;
    if (size == 8) {
      a.block<1, 2>(2 * i, 6) << -q.x * p.x, -q.x * p.y;
      a.block<1, 2>(2 * i + 1, 6) << -q.y * p.x, -q.y * p.y;
    }
    b[2 * i] = q.x;
    b[2 * i + 1] = q.y;
  }
  return LeastSquares(a, b);
}

}  // namespace

Normaliser::Normaliser(const std::vector<Point>& points) {
  const double n = static_cast<double>(points.size());
  for (const Point& p : points) mean += p * (1 / n);
  double sum = 0;
  for (const Point& p : points) sum += (p - mean).dot(p - mean);
  scale = sum > 0 ? std::sqrt(2 * n / sum) : 1;
}

PointFit::PointFit(const PointPairs& pairs, MapKind kind, cv::Size photo_size_px)
    : from_(Side(pairs, &PointPair::from)),
      to_(Side(pairs, &PointPair::to)),
      photo_size_px_(photo_size_px) {
  const Point middle((photo_size_px.width - 1) / 2.0, (photo_size_px.height - 1) / 2.0);
  lens_.center_px = to_.Apply(middle);
  lens_.radius_px = to_.scale * std::max(1.0, cv::norm(middle));
  PointPairs scaled = pairs;
  for (PointPair& p : scaled) p = {from_.Apply(p.from), to_.Apply(p.to), p.row};
  const int size = NumParameters(kind);
  h_ = Eigen::VectorXd::Zero(size);
  const int linear = std::min(size, 8);
  h_.head(linear) = LinearFit(scaled, linear);
  Polish(scaled);
  inverse_ = PseudoInverse(NormalMatrix(scaled));
  cv::Matx33d m(h_[0], h_[1], h_[2], h_[3], h_[4], h_[5], 0, 0, 1);
  if (size >= 8) {
    m(2, 0) = h_[6];
    m(2, 1) = h_[7];
  }
  m = to_.Matrix().inv() * m * from_.Matrix();
  plane_.matrix = m * (1 / m(2, 2));
}

Point PointFit::Pinhole(Point p) const {
  const double w = h_.size() >= 8 ? h_[6] * p.x + h_[7] * p.y + 1 : 1;
  return {(h_[0] * p.x + h_[1] * p.y + h_[2]) / w, (h_[3] * p.x + h_[4] * p.y + h_[5]) / w};
}

Point PointFit::Map(Point p) const {
  const Point q = Pinhole(p);
  if (h_.size() <= 8) return q;
  const Point d = (q - lens_.center_px) * (1 / lens_.radius_px);
  const double r2 = d.dot(d);
  const double k2 = h_.size() > 9 ? h_[9] : 0;
  return q + (q - lens_.center_px) * (r2 * (h_[8] + k2 * r2));
}

Eigen::MatrixXd PointFit::Derivative(Point p) const {
  const int size = num_parameters();
  const Point q = Pinhole(p);
  const double w = size >= 8 ? h_[6] * p.x + h_[7] * p.y + 1 : 1;
  Eigen::MatrixXd j = Eigen::MatrixXd::Zero(2, size);
  j.block<1, 3>(0, 0) << p.x / w, p.y / w, 1 / w;
  j.block<1, 3>(1, 3) << p.x / w, p.y / w, 1 / w;
  if (size >= 8) {
    j.block<1, 2>(0, 6) << -q.x * p.x / w, -q.x * p.y / w;
    j.block<1, 2>(1, 6) << -q.y * p.x / w, -q.y * p.y / w;
  }
  if (size <= 8) return j;
  const Point from_center = q - lens_.center_px;
  const Eigen::Vector2d d(from_center.x / lens_.radius_px, from_center.y / lens_.radius_px);
  const double r2 = d.squaredNorm();
  const double k2 = size > 9 ? h_[9] : 0;
  const Eigen::Matrix2d by_pinhole = (1 + r2 * (h_[8] + k2 * r2)) * Eigen::Matrix2d::Identity() +
                                     (2 * h_[8] + 4 * k2 * r2) * d * d.transpose();
  j.leftCols(8) = (by_pinhole * j.leftCols(8)).eval();
  j.col(8) = lens_.radius_px * r2 * d;
  if (size > 9) j.col(9) = lens_.radius_px * r2 * r2 * d;
  return j;
}

Eigen::MatrixXd PointFit::NormalMatrix(const PointPairs& scaled) const {
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(h_.size(), h_.size());
  for (const PointPair& pair : scaled) {
    const Eigen::MatrixXd j = Derivative(pair.from);
    normal += j.transpose() * j;
  }
  return normal;
}

// Gauss-Newton; a step that makes it worse is halved.
void PointFit::Polish(const PointPairs& scaled) {
  const auto misfit = [&] {
    double sum = 0;
    for (const PointPair& p : scaled) sum += (Map(p.from) - p.to).dot(Map(p.from) - p.to);
    return sum;
  };
  for (int step = 0; step < kGaussNewtonSteps; ++step) {
    Eigen::VectorXd gradient = Eigen::VectorXd::Zero(h_.size());
    for (const PointPair& pair : scaled) {
      const Point off = pair.to - Map(pair.from);
      gradient += Derivative(pair.from).transpose() * Eigen::Vector2d(off.x, off.y);
    }
    Eigen::VectorXd d = SolveSymmetric(NormalMatrix(scaled), gradient);
    if (!d.allFinite()) return;
    const Eigen::VectorXd before = h_;
    const double worst = misfit();
    h_ = before + d;
    for (int k = 0; k < kHalvings && !(misfit() <= worst); ++k) {
      d *= 0.5;
      h_ = before + d;
    }
    if (!(misfit() <= worst)) {
      h_ = before;
      return;
    }
    if (d.norm() < 1e-12) return;
  }
}

Point PointFit::Apply(Point from) const {
  return Map(from_.Apply(from)) * (1 / to_.scale) + to_.mean;
}

std::optional<RadialLens> PointFit::lens() const {
  if (h_.size() <= 8) return std::nullopt;
  const Point middle((photo_size_px_.width - 1) / 2.0, (photo_size_px_.height - 1) / 2.0);
  return RadialLens{middle, cv::norm(middle), h_[8], h_.size() > 9 ? h_[9] : 0};
}

bool PointFit::Possible() const {
  if (h_.size() <= 8) return true;
  const double k2 = h_.size() > 9 ? h_[9] : 0;
  for (double r2 = 0; r2 <= 1; r2 += 0.05) {
    if (1 + 3 * h_[8] * r2 + 5 * k2 * r2 * r2 < 0.3) return false;
  }
  return true;
}

double PointFit::Perspective() const { return h_.size() >= 8 ? std::hypot(h_[6], h_[7]) : 0; }

cv::Matx22d PointFit::Leverage(Point from) const {
  const Eigen::MatrixXd j = Derivative(from_.Apply(from));
  const Eigen::Matrix2d c = j * inverse_ * j.transpose();
  return {c(0, 0), c(0, 1), c(1, 0), c(1, 1)};
}

double SquaredMisfit(const PointFit& fit, const PointPairs& pairs) {
  double sum = 0;
  for (const PointPair& p : pairs) {
    const Point off = fit.Apply(p.from) - p.to;
    sum += off.dot(off);
  }
  return sum;
}

double LeaveOneOutError(const PointPairs& pairs, MapKind kind, cv::Size photo_size_px) {
  if (pairs.size() < PairsNeeded(kind) + 1) return std::numeric_limits<double>::infinity();
  double sum = 0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    PointPairs rest = pairs;
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
    const PointFit fit(rest, kind, photo_size_px);
    if (!fit.Possible()) return std::numeric_limits<double>::infinity();
    sum += SquaredMisfit(fit, {pairs[i]}) / static_cast<double>(pairs.size());
  }
  return sum;
}

}  // namespace ohmglow
