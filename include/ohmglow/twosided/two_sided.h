// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"

namespace ohmglow {

struct TwoSidedOptions {
  LocateOptions locate;
  /// Probability from which a side counts as decided; 0.5 .. 1.
  double decided_prob = 0.85;
  /// Confidence from which a place counts as found; 0 .. 1.
  double found_confidence = kFaultConfidence;

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Joins what two captures of one board say, one of each side: places are
/// brought together by board coordinates; side, part, power and confidence
/// are decided from both. What the captures disagree on is said in
/// `other_side->conflicts` and in the place's remarks, and costs confidence.
///
/// Frame and photo coordinates, levels and maps are those of `seen`; where a
/// place was found from the other side alone, they follow from the board
/// coordinates, and its growth is the other capture's.
/// @param seen, other  from Locate(), both with a board map.
/// @param job, other_job  the cases they come from (parts, side).
/// @throws InputError  where a board map is missing, both show the same side, or
///                     the board coordinates of the two are mirror images.
[[nodiscard]] LocateResult JoinSides(const LocateResult& seen,
                                     const Case& job,
                                     const LocateResult& other,
                                     const Case& other_job,
                                     const TwoSidedOptions& options);

/// Locates in both captures and joins them.
/// @throws as Locate() and JoinSides(); what makes the pair unfit is told before
///         the long work.
[[nodiscard]] LocateResult LocateTwoSided(const Case& job,
                                          const Case& other_job,
                                          const TwoSidedOptions& options);

}  // namespace ohmglow
