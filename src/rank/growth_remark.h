// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/result.h"

namespace ohmglow {

/// Whether the capture tells how the heat grows with the current: at the highest level the
/// bar of 95 % is no longer than the rise, or the heat is far out of the noise and its
/// exponent known to a quarter. True without levels: nothing speaks against.
[[nodiscard]] bool GrowthCanBeRead(const Candidate& candidate);

/// Puts that the heat is too faint to read in the place of how it grows.
void SayWhereGrowthCannotBeRead(Candidate& candidate);

/// Takes out how it grows: where no currents are known there is no growth with them.
void DropGrowthRemark(Candidate& candidate);

}  // namespace ohmglow
