// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "ohmglow/compare/compare.h"

namespace ohmglow {

/// Volts over amps of both logs, each where it had the most current. Unknown
/// where a case has no log or no current flowed.
[[nodiscard]] ResistanceChange CompareResistance(const std::optional<SupplyLog>& before,
                                                 const std::optional<SupplyLog>& after);

}  // namespace ohmglow
