// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <optional>
#include <vector>

#include "ohmglow/align/board_maps.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {

struct PointPair {
  Point from;
  Point to;
  std::size_t row = 0;  ///< 1-based row of the table.
};
using PointPairs = std::vector<PointPair>;

/// Moves points to mean 0 and rms distance sqrt(2): the condition of the linear
/// system depends on it (Hartley, IEEE Trans. PAMI 19 (1997) 580-593).
struct Normaliser {
  Point mean{0, 0};
  double scale = 1;

  explicit Normaliser(const std::vector<Point>& points);
  [[nodiscard]] Point Apply(Point p) const { return (p - mean) * scale; }
  [[nodiscard]] cv::Matx33d Matrix() const {
    return {scale, 0, -scale * mean.x, 0, scale, -scale * mean.y, 0, 0, 1};
  }
};

/// What is fitted, by its number of parameters.
enum class MapKind { kAffine = 6, kProjective = 8, kLens = 9, kLensTwoTerms = 10 };
[[nodiscard]] inline int NumParameters(MapKind kind) { return static_cast<int>(kind); }
/// Pairs that the kind needs at least.
[[nodiscard]] inline std::size_t PairsNeeded(MapKind kind) {
  return static_cast<std::size_t>((NumParameters(kind) + 1) / 2);
}

/// The least-squares map through pairs of points.
class PointFit {
 public:
  /// @param photo_size_px  of the target, for the kinds with a lens.
  PointFit(const PointPairs& pairs, MapKind kind, cv::Size photo_size_px);

  [[nodiscard]] Point Apply(Point from) const;
  /// Without the lens.
  [[nodiscard]] const PlaneMap& plane() const { return plane_; }
  [[nodiscard]] std::optional<RadialLens> lens() const;
  /// A lens whose image does not fold within the photo.
  [[nodiscard]] bool Possible() const;
  [[nodiscard]] int num_parameters() const { return static_cast<int>(h_.size()); }
  /// How strongly the map departs from an affine one.
  [[nodiscard]] double Perspective() const;
  /// Covariance of a mapped place for landmarks of unit variance a coordinate.
  [[nodiscard]] cv::Matx22d Leverage(Point from) const;

 private:
  [[nodiscard]] Eigen::MatrixXd Derivative(Point scaled) const;
  [[nodiscard]] Point Map(Point scaled) const;
  [[nodiscard]] Point Pinhole(Point scaled) const;
  [[nodiscard]] Eigen::MatrixXd NormalMatrix(const PointPairs& scaled) const;
  void Polish(const PointPairs& scaled);

  Normaliser from_;
  Normaliser to_;
  RadialLens lens_;    // Frame of the lens in scaled coordinates; its terms are in h_.
  Eigen::VectorXd h_;  // (h0 x + h1 y + h2, h3 x + h4 y + h5) / (h6 x + h7 y + 1), k1, k2.
  Eigen::MatrixXd inverse_;
  PlaneMap plane_;
  cv::Size photo_size_px_;
};

/// Sum of squared distances between mapped and given points.
[[nodiscard]] double SquaredMisfit(const PointFit& fit, const PointPairs& pairs);

/// Mean squared distance of each pair's point from where the others put it;
/// infinite where too few are left.
[[nodiscard]] double LeaveOneOutError(const PointPairs& pairs,
                                      MapKind kind,
                                      cv::Size photo_size_px);

}  // namespace ohmglow
