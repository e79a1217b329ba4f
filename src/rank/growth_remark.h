// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "ohmglow/result.h"

namespace ohmglow {

/// How the remark of JudgeSpot() starts that says how heat grows with the current.
inline constexpr std::string_view kGrowthRemark = "Its heat grows with";
inline constexpr std::string_view kStepwiseGrowthRemark = "Its heat grows in step";

/// Whether the capture tells how the heat grows with the current: at the highest level the
/// bar of 95 % is no longer than the rise, or the heat is far out of the noise and its
/// exponent known to a quarter. True without levels: nothing speaks against.
[[nodiscard]] bool GrowthCanBeRead(const Candidate& candidate);

/// Puts the words of heat that is too faint to read in the place of that remark.
void SayWhereGrowthCannotBeRead(Candidate& candidate);

/// Takes that remark out: where no currents are known there is no growth with them.
void DropGrowthRemark(Candidate& candidate);

}  // namespace ohmglow
