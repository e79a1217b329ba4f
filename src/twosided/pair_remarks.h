// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/remark.h"
#include "twosided/joint_power.h"
#include "twosided/pair_view.h"

namespace ohmglow {

/// "top" or "bottom".
[[nodiscard]] Remark NameOfSide(BoardSide side);

/// How warm each side shows a place and what that says of its side, or that one
/// does not show it.
[[nodiscard]] Remark DescribeViews(const PairView& pair);

/// What the two captures disagree on, apart from the power.
[[nodiscard]] std::vector<Remark> ListContradictions(const PairView& pair);

/// That they disagree on the power.
[[nodiscard]] Remark PowersDisagree(const LogPower& near, const LogPower& far);

}  // namespace ohmglow
