// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "compare/change.h"
#include "ohmglow/compare/compare.h"

namespace ohmglow {

/// One place with all that speaks for and against it.
struct WeighedPlace {
  ComparedPlace place;
  ChangeProbs probs;
  double fault_before_prob = 0;  ///< That it was a fault in BEFORE.
  double fault_after_prob = 0;   ///< That AFTER, seen alone, calls it a fault.
  bool new_in_after = false;
};

/// What could not be seen, and why.
struct Blindness {
  bool before_showed_none = false;
  /// Standard error of the suspect's ratio: at 1 a fault of the old strength
  /// is one standard error. Unset where there is no suspect.
  std::optional<double> suspect_sigma;
  bool suspect_outside = false;  ///< AFTER did not film the place.
  double after_amps_a = 0;
  double scale_amps_a = 0;  ///< BEFORE's highest current.
};

/// Sets verdict, probability and words. Never kRepaired where AFTER could not
/// have shown the fault.
void DecideVerdict(const std::vector<WeighedPlace>& places,
                   const Blindness& blindness,
                   CompareResult& result);

}  // namespace ohmglow
