// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace ohmglow {

/// What a unit of an evidence's value adds to the logarithm of the odds.
struct EvidenceWeight {
  std::string_view name;
  double weight;
};

/// Fitted by tools/calibrate on simulated captures; the file says which.
inline constexpr EvidenceWeight kEvidenceWeights[] = {
#include "rank/weights.inc"
};

/// Weight of an evidence. @throws std::out_of_range  where the table has none.
[[nodiscard]] double WeightOf(std::string_view name);

/// Names of what is no evidence of a place.
inline constexpr std::string_view kBeforeLooking = "before looking";
inline constexpr std::string_view kSecondFault = "a second fault";
/// The evidence that makes a place a lead's contact where it is answered by no.
inline constexpr std::string_view kNoLeadContact = "is no lead contact";
/// ... and a part's that the current warms by design.
inline constexpr std::string_view kNoCarrier = "is no coil, fuse or connector";
/// How it fits the parts list, and what takes that back.
inline constexpr std::string_view kOnPart = "sits on a part";
inline constexpr std::string_view kUnexplained = "nothing else explains it";

}  // namespace ohmglow
