// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/plate.h"
#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct ClockOffset {
  double offset_s = 0;  ///< Log time + offset = frame time.
  double sigma_s = 0;
};

/// Two clocks set by hand; now and then one that is quite another.
[[nodiscard]] double ClockLogPrior(double offset_s);

/// Mean and spread of the offset under a log likelihood at even steps, which
/// may have a flat top; sharper than the steps by the vertex of a parabola.
[[nodiscard]] ClockOffset SummariseClock(const std::vector<double>& offsets_s,
                                         const std::vector<double>& likelihood);

/// The clock by blocks of pixels all over the picture: the offset under which
/// heat sources of all kinds explain it best: sum over blocks of the gain in
/// profile likelihood of the best kind, noise of each block unknown, smooth
/// courses given away. All arguments must outlive it.
class BlockClock {
 public:
  BlockClock(const Stack& stack,
             const SupplyLog& log,
             const Plate& plate,
             const HeatOptions& options);

  /// Where the hill stands: 0 for the usual range, or wherever else the busiest
  /// blocks want it far more. All steps of the current must stay in the
  /// capture: a single one would match whatever was switched on once.
  [[nodiscard]] double FindMiddle() const;

  /// The offset and its spread in the usual range around a middle; at the end
  /// of the range the spread is the range.
  /// @param sparse  of so many offsets one is asked of all blocks, those between of the
  ///                blocks that gain something beside them; 1: each of all.
  [[nodiscard]] ClockOffset FindAround(double middle_s, int sparse = 3) const;

 private:
  [[nodiscard]] double LogPrior(double offset_s) const;
  // Log likelihood of each offset by the votes of a few kinds of sources.
  [[nodiscard]] std::vector<double> AllVotes(const std::vector<double>& offsets_s,
                                             int sparse) const;
  [[nodiscard]] ClockOffset Refine(const std::vector<double>& open_s,
                                   const Eigen::ArrayXf& voted) const;
  [[nodiscard]] double SpreadOfGroups(const std::vector<double>& offsets_s,
                                      const Eigen::MatrixXf& gains,
                                      const std::vector<Eigen::Index>& block) const;

  const SupplyLog& log_;
  const HeatOptions& options_;
  SourceCourses sources_;
  SourceCourses few_;
  TemporalModel smooth_;
  TemporalModel usual_;
  int columns_;
  Eigen::MatrixXf blocks_;
  Eigen::MatrixXf cornered_;
  Eigen::ArrayXf tremble_;
  Eigen::ArrayXf whole_;
  double first_s_ = 0;
  double last_s_ = 0;
  double first_frame_s_ = 0;
  double last_frame_s_ = 0;
};

}  // namespace ohmglow
