// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/result.h"
#include "rank/rank.h"

namespace ohmglow {

/// What a ranking is worth whose levels are not plain in the frames, so that their times may have
/// been fitted to noise. Such times leave no place that the detector over the whole picture and
/// the checks of each place hold for a fault (LEVELS.md): where they hold one for it, it is a
/// second witness and stays, less sure. Else all are hints and the verdict is none. What is read
/// off times (ohms, volts) goes either way.
/// @param result  its verdict_reason, that the switching was not seen, goes where there is a
/// witness.
void JudgeUnseenSteps(Ranking& ranking, LocateResult& result);

}  // namespace ohmglow
