// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "record/session.h"

namespace ohmglow::record {

/// What will be done to the board: steps with amps, volts and seconds, limits, the least
/// power that will show.
[[nodiscard]] std::string PlanText(const SessionOptions& options, std::optional<double> least_w);

/// The usual cautions; common practice, no source.
[[nodiscard]] std::string CautionText();

/// "2.4 mW"
[[nodiscard]] std::string WattText(double watts);

}  // namespace ohmglow::record
