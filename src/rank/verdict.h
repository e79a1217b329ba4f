// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "rank/rank.h"
#include "rank/verdict_rules.h"

namespace ohmglow {

/// Leaves every place only this part of its probability, and says the verdict anew: what they
/// were read by holds with this probability.
void Doubt(double holds_prob, Ranking& ranking);

}  // namespace ohmglow
