// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

namespace ohmglow::internal {

inline constexpr int kLane = 8;

/// Eight values, anywhere in memory. Used by reference alone: not every machine can hand
/// one over.
using Lane = float __attribute__((vector_size(32), aligned(4), may_alias));

inline const Lane& LaneAt(const float* at) { return *reinterpret_cast<const Lane*>(at); }
inline Lane& LaneAt(float* at) { return *reinterpret_cast<Lane*>(at); }

}  // namespace ohmglow::internal
