// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Millimetres of a pixel in the middle of the view; where nothing told them, those of
/// the parts list that was laid there.
[[nodiscard]] double ScaleOf(const Case& job, const BoardMaps& maps, cv::Size frame_px);

/// Widens the watts' intervals by what a guessed scale may be wrong.
void DoubtScale(LocateResult& result);

/// Adds an error of the logarithm (95 %) to the interval of a place's watts.
void WidenWatts(double own_log, Candidate& candidate);

/// The advice to give the scale that was guessed.
[[nodiscard]] Remark AskForScale(const LocateResult& result);

}  // namespace ohmglow
