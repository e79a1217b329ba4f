// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "ohmglow/words/words.h"

namespace ohmglow::record {

/// Why the supply was switched off before its time, or never switched on.
enum class Cause {
  kRise,
  kTemperature,
  kBeyondRange,
  kCameraSilent,
  kCameraFrozen,
  kCameraEnded,
  kFewRestFrames,
  kBlind,
  kCameraSlow,
  kCameraFast,
  kSupplySilent,
  kNoNumber,
  kSupplyLost,
  kAmpsAtZero,
  kVolts,
  kAmps,
  kAmpsBackwards,
  kTooMuchAsked,
  kNotObeyed,
  kSupplyError,
  kStaysOn,
  kStaysOff,
  kPathOpened,
  kTime,
  kRecorderGone,
  kRecorderHangs,
  kStoodStill,
  kGuardianTold,
  kGuardianFailed,
  kGuardianGone,
  kGuardianHangs,
  kGuardianStays,
  kDisk,
  kUser,
  kCannotBeOff,
  kBeyondSupply,
  kFlowsWhileOff,
  kNeverAnswers,
  kAnswersLate,
};

/// A reason with what was seen; the units are those of the sentence.
struct Trip {
  Cause cause = Cause::kUser;
  double value = 0;
  double limit = 0;
  std::string detail = {};  ///< In the words of supply or system; of some causes.
};

/// One sentence.
[[nodiscard]] std::string TripText(const Trip& trip, const Words& words);

}  // namespace ohmglow::record
