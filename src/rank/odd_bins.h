// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// Finds bins in which something went wrong: a hand in the view, a reading that jumped, a
/// frame laid wrongly. One or two in a row lie to the same side of both their neighbours, by
/// far more than neighbours differ elsewhere, than noise, and than a small part of the
/// course's whole range. What a short pulse of the supply does is not odd.
class OddBins {
 public:
  OddBins(const TemporalModel& model, const Drive& drive);

  struct Mended {
    Eigen::VectorXd course;          ///< Weighted, without offset; as it was where no bin is odd.
    std::vector<Eigen::Index> bins;  ///< That were odd, ascending; never the first or the last.
  };
  /// The course with its odd bins on the straight line between the sound ones beside them.
  /// Where many bins are odd none is: that is how the place goes.
  /// @param course   weighted, of all bins, without offset.
  /// @param noise_k  of its entries.
  [[nodiscard]] Mended Mend(const Eigen::VectorXd& course, double noise_k) const;

 private:
  void Bridge(Eigen::Index first, Eigen::Index count, Eigen::VectorXd& values) const;

  Eigen::VectorXd weight_;
  std::vector<double> times_s_;
  std::vector<bool> pulses_;  // by bin: heat of the supply may be odd here itself
};

}  // namespace ohmglow
