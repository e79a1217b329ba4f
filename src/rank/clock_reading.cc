// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/clock_reading.h"

#include <algorithm>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {

std::optional<ClockReading> ReadClock(const LocateResult& result) {
  if (!result.clock_offset_s) return std::nullopt;
  const std::vector<Remark>& said = result.supply_remarks;
  if (std::any_of(said.begin(), said.end(), IsOf(RemarkKind::kRivalClock))) return std::nullopt;
  const std::optional<double> sigma_s = result.clock_offset_sigma_s;
  if (sigma_s.value_or(0) > kUnsureClockS) return std::nullopt;
  return ClockReading{*result.clock_offset_s, sigma_s};
}

}  // namespace ohmglow
