// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/sheet/sheet.h"
#include "support/sample_result.h"

namespace ohmglow::testing {

/// An invented page: MakeSampleResult()'s board, a photo where `options.maps`,
/// an invented workshop with a logo, notes and a date.
[[nodiscard]] SheetContent MakeSampleSheet(const SampleOptions& options);

/// An invented second measurement of the same board, the first place gone.
[[nodiscard]] RepairCheck MakeSampleRepair(const LocateResult& before);

}  // namespace ohmglow::testing
