// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/step_score.h"
#include "heat/step_table.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct StepFit {
  StepPlaces at;
  double score = 0;
};

/// Searches the times of all steps together: from evenly spaced steps of every
/// pitch and begin, from the times noted by hand, and from random ones, each step
/// is moved to its best place in turn, and all after it with it, until nothing
/// gains. What is found from different starts are different tops of one hill or
/// different hills.
/// @return  tops that differ, the best first; empty where the film is too
///          short for the steps.
[[nodiscard]] std::vector<StepFit> SearchSteps(const StepScore& score,
                                               const StepTable& table,
                                               const std::vector<SetLevel>& levels);

/// The top of the hill that a place stands on.
[[nodiscard]] StepFit ClimbSteps(const StepScore& score, StepPlaces from);

}  // namespace ohmglow
