// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "calibrate/fit.h"
#include "calibrate/results.h"

namespace ohmglow::calibrate {

struct Calibration {
  int num_places = 0;
  double brier = 0;
  /// Mean distance between stated probability and share of faults over bins
  /// of a tenth, weighed by their places (expected calibration error; Naeini,
  /// Cooper, Hauskrecht, AAAI 2015, from memory).
  double error = 0;
};

/// How well stated probabilities agree with the truth.
/// @param first_only  of the first place of each capture alone.
[[nodiscard]] Calibration Judge(const std::vector<Capture>& captures,
                                const std::vector<std::vector<double>>& confidences,
                                bool first_only);

/// The table of weights as the program reads it, with what it comes from.
[[nodiscard]] std::string WeightTable(const Fit& fit,
                                      const std::vector<Capture>& captures,
                                      const std::string& origin);

}  // namespace ohmglow::calibrate
