// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "ohmglow/words/words.h"
#include "record/session.h"

namespace ohmglow::record {

/// What will be done to the board: steps with amps, volts and seconds, limits, the least
/// power that will show.
[[nodiscard]] std::string PlanText(const SessionOptions& options,
                                   std::optional<double> least_w,
                                   const Words& words);

/// The usual cautions; common practice, no source.
[[nodiscard]] std::string CautionText(const Words& words);

}  // namespace ohmglow::record
