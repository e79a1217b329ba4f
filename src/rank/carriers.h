// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/input/case.h"
#include "rank/part_match.h"

namespace ohmglow {

/// Whether the rail's current passes through a part by design and warms it,
/// shorted or not: coils, ferrites, fuses, connectors. By the list's word for its
/// kind or, where it has none, by the letters of its reference (IEEE Std 315:
/// L, FB, F, J, P, X; from memory).
[[nodiscard]] bool CarriesCurrent(const Part& part);

/// Probability that the part at a place is such a one.
[[nodiscard]] double CarrierProb(const std::vector<Part>& parts, const PartsThere& there);

}  // namespace ohmglow
