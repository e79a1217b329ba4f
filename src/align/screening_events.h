// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/screening.h"
#include "align/screening_sums.h"

namespace ohmglow::internal {

/// Parts the frames into segments at freezes and steps of the offset, and
/// excludes frames that something covers. Adds events and exclusions.
/// @param profiles  of the frames used so far, by rising index.
/// @param result    repeats are excluded already, as doubled ones.
void FindEvents(const std::vector<FrameProfile>& profiles, Screening& result);

/// Marks a frame as excluded and lists it; the list is sorted later.
void Exclude(int index, ExcludedFrame::Kind kind, const Remark& why, Screening& result);

}  // namespace ohmglow::internal
