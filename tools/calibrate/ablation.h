// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "calibrate/results.h"

namespace ohmglow::calibrate {

/// What probabilities of places would make of captures: the most probable place
/// of each is its first, and named from the confidence of a verdict on.
struct Decisions {
  int faulty = 0;        ///< Captures with a fault.
  int first = 0;         ///< ... whose first place is one.
  int found = 0;         ///< ... and is named.
  int empty = 0;         ///< Captures without a fault.
  int false_alarms = 0;  ///< ... in which a place is named.
  double brier = 0;      ///< Of the first places.
};

[[nodiscard]] Decisions Decide(const std::vector<Capture>& captures,
                               const std::vector<std::vector<double>>& confidences);

/// What each piece of evidence is good for: the weights are fitted without it on
/// some captures and used on others. A table, one row a piece, the worst loss of
/// probability first.
[[nodiscard]] std::string AblationTable(const std::vector<Capture>& fitted_on,
                                        const std::vector<Capture>& judged_on);

}  // namespace ohmglow::calibrate
