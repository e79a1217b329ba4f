// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/result.h"

namespace ohmglow {

/// From here a place's second part is named beside the first. A sound part lifted
/// costs 60 minutes, telling two apart on the fed rail 6 (common practice, no source):
/// the look pays from one in ten on.
inline constexpr double kSecondPartProb = 6.0 / 60;
/// From here it is a real alternative: "C1 or C2" rather than "C1 (perhaps C2)".
inline constexpr double kOtherPartProb = 0.3;
/// Below it, those that are named together are only a landmark: "near C1".
inline constexpr double kNearProb = 0.5;

/// What to do next, most useful first, and the cautions that apply to it.
/// @param contacts_marked  the case says where the supply's leads touch.
/// @param course_advice    on the course of the current; empty where it does well.
/// @param not_in_view      names of parts that were not filmed (NamesOf); empty: none.
[[nodiscard]] std::vector<Remark> Advise(const LocateResult& result,
                                         bool contacts_marked = false,
                                         const Remark& course_advice = {},
                                         const Remark& not_in_view = {});

}  // namespace ohmglow
