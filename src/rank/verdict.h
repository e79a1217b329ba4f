// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/result.h"
#include "rank/rank.h"

namespace ohmglow {

/// By how many places reach kFaultConfidence.
[[nodiscard]] Verdict VerdictOn(const std::vector<Candidate>& candidates);

/// Leaves every place only this part of its probability, and says the verdict anew: what they
/// were read by holds with this probability.
void Doubt(double holds_prob, Ranking& ranking);

}  // namespace ohmglow
