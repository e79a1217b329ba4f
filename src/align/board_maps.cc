// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/board_maps.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <optional>
#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

struct Pair {
  Point from;
  Point to;
  std::size_t row = 0;  // 1-based row of the table.
};

using Pairs = std::vector<Pair>;

constexpr double kLineRatio = 0.02;  // Spread across against spread along.
// The F distribution with 2 and 6 degrees of freedom exceeds 27 once in a thousand.
constexpr double kWrongSigmas = 5.2;
constexpr double kAssumedSigmaPx = 0.5;  // Of a landmark in the frame; common practice, no source.
constexpr double kAssumedFreedom = 4;
constexpr int kGaussNewtonSteps = 10;

// Moves the points to mean 0 and rms distance sqrt(2): the condition of the
// linear system depends on it (Hartley, IEEE Trans. PAMI 19 (1997) 580-593).
struct Normaliser {
  Point mean{0, 0};
  double scale = 1;

  explicit Normaliser(const std::vector<Point>& points) {
    const double n = static_cast<double>(points.size());
    for (const Point& p : points) mean += p * (1 / n);
    double sum = 0;
    for (const Point& p : points) sum += (p - mean).dot(p - mean);
    scale = sum > 0 ? std::sqrt(2 * n / sum) : 1;
  }
  [[nodiscard]] Point Apply(Point p) const { return (p - mean) * scale; }
  [[nodiscard]] cv::Matx33d Matrix() const {
    return {scale, 0, -scale * mean.x, 0, scale, -scale * mean.y, 0, 0, 1};
  }
};

std::vector<Point> Side(const Pairs& pairs, Point Pair::*side) {
  std::vector<Point> points;
  for (const Pair& p : pairs) points.push_back(p.*side);
  return points;
}

// Spread across the best line through the points against spread along it.
double Flatness(const std::vector<Point>& points) {
  const Normaliser n(points);
  double xx = 0, xy = 0, yy = 0;
  for (const Point& p : points) {
    const Point q = n.Apply(p);
    xx += q.x * q.x;
    xy += q.x * q.y;
    yy += q.y * q.y;
  }
  const double middle = 0.5 * (xx + yy);
  const double swing = std::hypot(0.5 * (xx - yy), xy);
  return middle + swing > 0 ? std::sqrt(std::max(0.0, middle - swing) / (middle + swing)) : 0;
}

bool OnALine(const Pairs& pairs) {
  return Flatness(Side(pairs, &Pair::from)) < kLineRatio ||
         Flatness(Side(pairs, &Pair::to)) < kLineRatio;
}

// Parameters h of (h0 x + h1 y + h2, h3 x + h4 y + h5) / (h6 x + h7 y + 1); an
// affine map has only the first six.
using Parameters = Eigen::VectorXd;

Point Map(const Parameters& h, Point p) {
  const double w = h.size() == 8 ? h[6] * p.x + h[7] * p.y + 1 : 1;
  return {(h[0] * p.x + h[1] * p.y + h[2]) / w, (h[3] * p.x + h[4] * p.y + h[5]) / w};
}

// Linear start: both sides multiplied by the denominator.
Parameters LinearFit(const Pairs& pairs, int size) {
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
  return a.colPivHouseholderQr().solve(b);
}

// Derivative of Map by the parameters, 2 x 6 or 2 x 8.
Eigen::MatrixXd Derivative(const Parameters& h, Point p) {
  const bool projective = h.size() == 8;
  const Point q = Map(h, p);
  const double w = projective ? h[6] * p.x + h[7] * p.y + 1 : 1;
  Eigen::MatrixXd j = Eigen::MatrixXd::Zero(2, h.size());
  j.block<1, 3>(0, 0) << p.x / w, p.y / w, 1 / w;
  j.block<1, 3>(1, 3) << p.x / w, p.y / w, 1 / w;
  if (projective) {
    j.block<1, 2>(0, 6) << -q.x * p.x / w, -q.x * p.y / w;
    j.block<1, 2>(1, 6) << -q.y * p.x / w, -q.y * p.y / w;
  }
  return j;
}

Eigen::MatrixXd NormalMatrix(const Parameters& h, const Pairs& pairs) {
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(h.size(), h.size());
  for (const Pair& pair : pairs) {
    const Eigen::MatrixXd j = Derivative(h, pair.from);
    normal += j.transpose() * j;
  }
  return normal;
}

Parameters Polish(Parameters h, const Pairs& pairs) {
  for (int step = 0; step < kGaussNewtonSteps; ++step) {
    Eigen::VectorXd gradient = Eigen::VectorXd::Zero(h.size());
    for (const Pair& pair : pairs) {
      const Point q = Map(h, pair.from);
      gradient +=
          Derivative(h, pair.from).transpose() * Eigen::Vector2d(pair.to.x - q.x, pair.to.y - q.y);
    }
    const Eigen::VectorXd d = NormalMatrix(h, pairs).ldlt().solve(gradient);
    if (!d.allFinite()) break;
    h += d;
    if (d.norm() < 1e-12) break;
  }
  return h;
}

// The least-squares map, found in coordinates of mean 0 and spread 1.
class Fit {
 public:
  // Six parameters are affine, eight projective.
  Fit(const Pairs& pairs, int size) : from_(Side(pairs, &Pair::from)), to_(Side(pairs, &Pair::to)) {
    Pairs scaled = pairs;
    for (Pair& p : scaled) p = {from_.Apply(p.from), to_.Apply(p.to), p.row};
    h_ = Polish(LinearFit(scaled, size), scaled);
    inverse_ = NormalMatrix(h_, scaled).completeOrthogonalDecomposition().pseudoInverse();
    cv::Matx33d m(h_[0], h_[1], h_[2], h_[3], h_[4], h_[5], 0, 0, 1);
    if (size == 8) {
      m(2, 0) = h_[6];
      m(2, 1) = h_[7];
    }
    m = to_.Matrix().inv() * m * from_.Matrix();
    map_.matrix = m * (1 / m(2, 2));
  }

  [[nodiscard]] const PlaneMap& map() const { return map_; }
  // How strongly the map departs from an affine one.
  [[nodiscard]] double Perspective() const { return h_.size() == 8 ? std::hypot(h_[6], h_[7]) : 0; }
  // Variance of a mapped place against that of a landmark's coordinate.
  [[nodiscard]] double Leverage(Point from) const {
    const Eigen::MatrixXd j = Derivative(h_, from_.Apply(from));
    return 0.5 * (j * inverse_ * j.transpose()).trace();
  }

 private:
  Normaliser from_;
  Normaliser to_;
  Parameters h_;
  Eigen::MatrixXd inverse_;
  PlaneMap map_;
};

int ParametersFor(const Pairs& pairs) { return pairs.size() >= 4 ? 8 : 6; }

double Misfit(const PlaneMap& map, const Pair& pair) {
  return cv::norm(map.Apply(pair.from) - pair.to);
}

// Target units per frame pixel.
double TargetScale(const Pairs& pairs) {
  return Normaliser(Side(pairs, &Pair::from)).scale / Normaliser(Side(pairs, &Pair::to)).scale;
}

double SquaredMisfit(const PlaneMap& map, const Pairs& pairs) {
  double sum = 0;
  for (const Pair& p : pairs) sum += Misfit(map, p) * Misfit(map, p);
  return sum;
}

// Standard deviation of one coordinate of a landmark: what is assumed counts
// as kAssumedFreedom residuals, lest few residuals that happen to be small
// accuse a good landmark.
double CautiousSigma(const PlaneMap& map, const Pairs& pairs, int size) {
  const int free = std::max(0, 2 * static_cast<int>(pairs.size()) - size);
  const double assumed = kAssumedSigmaPx * TargetScale(pairs);
  const double sum = SquaredMisfit(map, pairs) + kAssumedFreedom * assumed * assumed;
  return std::sqrt(sum / (free + kAssumedFreedom));
}

Pairs Without(const Pairs& pairs, std::size_t left_out) {
  Pairs rest = pairs;
  rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(left_out));
  return rest;
}

// Where a landmark is wrong, the others agree best without it. Four of five
// agree exactly on some homography whichever is missing; then the least
// perspective tells, for a camera looks at a board about straight.
std::size_t FindSuspect(const Pairs& pairs) {
  double least = std::numeric_limits<double>::infinity();
  std::size_t suspect = 0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const Pairs rest = Without(pairs, i);
    if (OnALine(rest)) continue;
    const Fit fit(rest, 8);
    const double score = rest.size() == 4 ? fit.Perspective() : SquaredMisfit(fit.map(), rest);
    if (score < least) {
      least = score;
      suspect = i;
    }
  }
  return suspect;
}

// Leaves out a landmark that lies where the others forbid it.
void DropWrong(const char* unit, Pairs& pairs, std::vector<std::string>& remarks) {
  if (pairs.size() < 5) return;
  const std::size_t suspect = FindSuspect(pairs);
  const Pairs rest = Without(pairs, suspect);
  if (OnALine(rest)) return;
  const Fit fit(rest, 8);
  const double misfit = Misfit(fit.map(), pairs[suspect]);
  const double sigma =
      CautiousSigma(fit.map(), rest, 8) * std::sqrt(2 * (1 + fit.Leverage(pairs[suspect].from)));
  if (!(misfit > kWrongSigmas * sigma)) return;
  char text[160];
  std::snprintf(text,
                sizeof text,
                "landmark in row %zu left out: it lies %.1f %s from where the others put it",
                pairs[suspect].row,
                misfit,
                unit);
  remarks.emplace_back(text);
  pairs = rest;
}

void RequireSpread(const char* what, const Pairs& pairs) {
  if (!OnALine(pairs)) return;
  throw DataError("the " + std::to_string(pairs.size()) +
                  " landmarks lie on a line in the frame "
                  "or " +
                  what + ": add one well beside it");
}

}  // namespace

BoardMaps FitBoardMaps(const std::vector<Landmark>& landmarks) {
  BoardMaps maps;
  Pairs photo, board;
  for (std::size_t i = 0; i < landmarks.size(); ++i) {
    const Landmark& l = landmarks[i];
    photo.push_back({l.frame_px, l.photo_px, i + 1});
    if (l.board_mm) board.push_back({l.frame_px, *l.board_mm, i + 1});
  }
  if (photo.size() >= 3) {
    RequireSpread("in the photo", photo);
    DropWrong("photo pixels", photo, maps.remarks);
    RequireSpread("in the photo", photo);
    maps.photo_from_frame = Fit(photo, ParametersFor(photo)).map();
  }
  if (board.size() >= 3) {
    RequireSpread("on the board", board);
    DropWrong("mm", board, maps.remarks);
    RequireSpread("on the board", board);
    const int size = ParametersFor(board);
    maps.board_from_frame = Fit(board, size).map();
    const int free = 2 * static_cast<int>(board.size()) - size;
    const double sigma = free > 0 ? std::sqrt(SquaredMisfit(*maps.board_from_frame, board) / free)
                                  : kAssumedSigmaPx * TargetScale(board);
    // Mean over the landmarks of the variance of a fitted place, both coordinates.
    maps.board_error_mm = sigma * std::sqrt(size / static_cast<double>(board.size()));
  }
  return maps;
}

}  // namespace ohmglow
