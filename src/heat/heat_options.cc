// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/heat/heat_options.h"

#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

void Require(bool holds, const std::string& rule, double value) {
  if (!holds) throw OptionError("HeatOptions::" + rule + "; it is " + std::to_string(value));
}

}  // namespace

void HeatOptions::Validate() const {
  Require(max_bins >= 16, "max_bins must be at least 16", max_bins);
  Require(pattern_iterations >= 0, "pattern_iterations must not be negative", pattern_iterations);
  Require(pattern_modes >= 1, "pattern_modes must be at least 1", pattern_modes);
  Require(pattern_ridge > 0, "pattern_ridge must be positive", pattern_ridge);
  Require(drift_order >= 1 && drift_order <= 7, "drift_order must be 1 to 7", drift_order);
  Require(misplaced_px >= 0, "misplaced_px must not be negative", misplaced_px);
  Require(clock_range_s >= 0, "clock_range_s must not be negative", clock_range_s);
  Require(clock_step_s > 0, "clock_step_s must be positive", clock_step_s);
}

}  // namespace ohmglow
