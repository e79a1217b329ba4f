// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "ohmglow/result.h"

namespace ohmglow {

/// More than any model can know.
inline constexpr double kMostConfidence = 0.99;

/// From here on a place is called possible, in every list, picture and sentence.
inline constexpr double kPossibleConfidence = 0.35;

/// Factor of the odds by which a piece of evidence tells for certain what a place is instead.
inline constexpr double kSurelyAgainst = 0.1;

/// Whether a place is listed behind so many others: the first three always, so that a
/// reader sees what was passed over.
[[nodiscard]] bool IsListed(std::size_t num_before, double confidence);

/// What a list means as a whole.
/// @param least  a place is called a fault from this confidence on.
[[nodiscard]] Verdict VerdictOn(const std::vector<Candidate>& candidates,
                                double least = kFaultConfidence);

/// The factor of the odds of what was asked; 1 where it was not.
[[nodiscard]] double FactorOf(const std::vector<Evidence>& evidence, std::string_view name);

/// Whether the heat of a place is the supply's, as far as was asked.
[[nodiscard]] bool FollowsSupply(const Candidate& place);

}  // namespace ohmglow
