// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "batch/case_record.h"
#include "ohmglow/result.h"

namespace ohmglow::batch {

/// Keys as they stand in files: "done", "failed", "missing".
[[nodiscard]] std::string_view StatusKey(CaseStatus status);

/// The highest current of the levels, to which power and rise belong [A]; NaN
/// where there is none.
[[nodiscard]] double TopAmps(const LocateResult& result);

}  // namespace ohmglow::batch
