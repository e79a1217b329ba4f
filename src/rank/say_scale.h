// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/result.h"

namespace ohmglow {

/// Says in `result.assumed` where the result's scale is from, if nobody gave it.
void SayScaleOf(LocateResult& result);

}  // namespace ohmglow
