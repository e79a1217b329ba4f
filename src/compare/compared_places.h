// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "analysis.h"
#include "compare/verdict.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// What became of the places of BEFORE, in their order, then the faults that
/// AFTER alone shows, with watts at BEFORE's highest current.
[[nodiscard]] std::vector<WeighedPlace> WeighPlaces(const Case& before_job,
                                                    const Analysis& before,
                                                    const Analysis& after,
                                                    const PairAlignment& alignment,
                                                    double gone_share);

}  // namespace ohmglow
