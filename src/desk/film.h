// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "analysis.h"
#include "ohmglow/base/image.h"

namespace ohmglow::desk {

/// The warming as moving pictures: at each time bin the rise of every point, offsets and drift
/// taken out as they are for a place's course (see MeasureGrowth()).
class Film {
 public:
  /// @param lag_s  in which the warmest place follows the current.
  Film(const Analysis& analysis, double lag_s);

  [[nodiscard]] const std::vector<double>& times_s() const { return times_s_; }
  /// @param bin     below times_s().size().
  /// @param values  that bin of the courses of all points.
  /// @return     rise over the first bin [K], lightly smoothed; NaN where not seen.
  [[nodiscard]] Image At(const Analysis& analysis,
                         std::size_t bin,
                         const Eigen::RowVectorXf& values) const;

 private:
  std::vector<double> times_s_;
  Eigen::MatrixXf shapes_;     ///< Bins x lags: the heat itself, over the first bin.
  Eigen::MatrixXf projected_;  ///< Bins x lags: as the courses see it.
  Eigen::MatrixXf amplitude_;  ///< Lags x points.
};

}  // namespace ohmglow::desk
