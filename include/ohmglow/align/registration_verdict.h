// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/alignment.h"

namespace ohmglow {

/// Expected error of a frame up to which registration holds [px]: beyond, an
/// edge begins to look like heat.
inline constexpr double kHoldsPx = 0.1;

enum class RegistrationVerdict { kHolds, kDoubtful, kFails, kNotTold };

/// How far the frames may lie off each other (FrameState::residual_px), and what that means.
struct RegistrationErrors {
  double middle_px = 0;  ///< Median of the used frames.
  double large_px = 0;   ///< 95 % of the used frames are better.
  RegistrationVerdict verdict = RegistrationVerdict::kNotTold;
};

/// By the expected errors alone: 0.1 px in the median and 0.25 px for 95 % of the frames
/// hold, up to three times as much is doubtful; not told where the board has too little
/// texture (2 px and more in the median: a frame's place is guessed rather than measured).
/// @param alignment  with at least one used frame.
[[nodiscard]] RegistrationErrors JudgeRegistration(const Alignment& alignment);

}  // namespace ohmglow
