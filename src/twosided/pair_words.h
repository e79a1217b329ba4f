// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "twosided/joint_power.h"
#include "twosided/pair_view.h"

namespace ohmglow {

/// How warm each side shows a place and what that says of its side, or that one
/// does not show it: one sentence.
[[nodiscard]] std::string SayViews(const PairView& pair);

/// What the two captures disagree on, apart from the power: sentences.
[[nodiscard]] std::vector<std::string> SayContradictions(const PairView& pair);

/// That they disagree on the power.
[[nodiscard]] std::string SayPowers(const LogPower& near, const LogPower& far);

}  // namespace ohmglow
