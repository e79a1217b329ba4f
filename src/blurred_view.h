// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/result.h"

namespace ohmglow {

/// Where the frames do not lie on each other, edges look like heat and faults drown: that nothing
/// was seen is no word about the board then. The judgement is that by which CheckCapture() calls a
/// capture not usable (JudgeRegistration); sets verdict_reason of a `none` that has no other one.
void DoubtNone(LocateResult& result);

}  // namespace ohmglow
