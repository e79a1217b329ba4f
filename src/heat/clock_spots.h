// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <vector>

#include "heat/clock_grid.h"
#include "heat/clock_steps.h"
#include "heat/plate.h"
#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// The clock as the warm spots of a picture tell it, one by one.
struct SpotClock {
  double offset_s = 0;
  double sigma_s = 0;
  double gain = 0;             ///< In log likelihood, of the warmest spot.
  std::vector<double> step_s;  ///< Log's clock: where in its gap each step lies.
};

/// Reads the clock at the places of quick heat.
///
/// Each bin's picture is reduced to its fine structure: conduction needs
/// r^2 C/(4 kappa) to carry heat a way r, so the late halo of a source is
/// broad and falls away, and what is left has the source's own corners. At
/// each spot the kinds of source and the offset are tried together; a spot
/// whose best kind is slow is believed less, one far from the others hardly.
/// Then each step of the current is timed alone and the offset is what brings
/// all of them into their gaps in the log.
class SpotReader {
 public:
  /// All arguments must outlive the reader.
  SpotReader(const Stack& stack,
             const TemporalModel& model,
             const SupplyLog& log,
             const Plate& plate,
             double mm_per_pixel);

  /// Searches `around_s` +- 1.6 s.
  /// @return  nothing where no spot is warm enough.
  [[nodiscard]] std::optional<SpotClock> Read(double around_s) const;

  /// Gain in log likelihood that the warmest spots bring under an offset.
  [[nodiscard]] double Evidence(double offset_s) const;

  /// How lively the liveliest places are, and what the log explains of it.
  struct Share {
    double excess = 0;  ///< Energy of the course over that of a middling place.
    double share = 0;   ///< Explained under the offset.
  };
  [[nodiscard]] Share Explained(double offset_s) const;

  [[nodiscard]] const std::vector<LogStep>& steps() const { return steps_; }

 private:
  struct Voice;
  struct Votes;
  [[nodiscard]] Votes Ask(const FineGrid& spots, double around_s) const;
  void TimeEachStep(const FineGrid& spots, const Votes& votes, SpotClock& out) const;

  const TemporalModel& model_;
  double first_frame_s_ = 0;
  double last_frame_s_ = 0;
  const SupplyLog& raw_log_;
  std::vector<LogStep> steps_;
  SupplyLog log_;  // Steps sharp, in the middle of their gaps.
  SourceCourses sources_;
  SourceCourses few_;
  FineGrid grid_;
};

}  // namespace ohmglow
