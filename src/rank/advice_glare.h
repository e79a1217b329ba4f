// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/result.h"

namespace ohmglow {

/// What a person sees at a glance, not only a computer: this warm, and this many times the noise
/// of the map of the rise.
inline constexpr double kGlaringK = 1;
inline constexpr double kGlaringOfNoise = 30;

/// Least rise that glares; of relative frames the noise alone tells.
[[nodiscard]] double GlaringFrom(double noise_rise_k, FrameValues values);

/// Listed heat of the supply that glares and that the verdict passes over although it is no
/// contact's and no part's that warms by design, a remark each.
[[nodiscard]] std::vector<Remark> ListPassedOver(const LocateResult& result);

}  // namespace ohmglow
