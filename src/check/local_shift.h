// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/stack.h"
#include "ohmglow/check/registration_check.h"

namespace ohmglow::internal {

/// The bins without what stays: each pixel's mean over its segment, and
/// whatever is broad (heat, the camera's drift), taken out by a box.
[[nodiscard]] std::vector<Image> FineDetail(const Stack& stack);

/// Rms over the bins, each counted by its frames [K]; 0 where the stack is blind.
[[nodiscard]] Image RmsDetail(const std::vector<Image>& detail_k, const Stack& stack);

/// Measures the shift that is left in each of `across` x `down` tiles.
///
/// In every bin the detail is fitted by s . slope + c * picture with Tukey
/// weights: a shift s of the static picture, and a contrast c that changes as
/// the board warms. The rms of s over the bins is freed of its own noise.
/// A tile tells where one bin's s is good to 0.3 px.
/// @param detail_k  of FineDetail().
/// @param static_k  mean of the registered frames.
/// Source: Tukey weights, constant 4.685 (Holland, Welsch 1977).
[[nodiscard]] std::vector<LocalShift> MeasureLocalShifts(const std::vector<Image>& detail_k,
                                                         const Stack& stack,
                                                         const Image& static_k,
                                                         int across,
                                                         int down);

}  // namespace ohmglow::internal
