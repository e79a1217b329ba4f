// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "record/limits.h"
#include "record/supply.h"
#include "record/trip.h"

namespace ohmglow::record {

/// The supply is measured so often, if its answers are not slower.
inline constexpr double kMeasureEveryS = 0.07;

/// What a supply is like.
struct Readiness {
  std::string identity;  ///< As it names itself.
  double answer_s = 0;   ///< What an answer takes.
  double off_s = 0;      ///< From a fault that it measures to the output off and read back.
};

/// With the output off: who it is, whether it takes the limits, measures no current, and
/// answers soon enough to be guarded.
/// @return  why it cannot be used; nothing: it can.
/// @throws SupplySilence, SupplyWoken
[[nodiscard]] std::optional<Trip> PrepareSupply(Supply& supply,
                                                const Limits& limits,
                                                Readiness& ready);

}  // namespace ohmglow::record
