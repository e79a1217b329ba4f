// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Heat of each level of the current at a place, each level free: what the
/// exponent claims, step by step. The courses of the levels share the lags
/// that the place shows under current^`exponent`; what earlier levels have
/// left warm is taken out.
/// @param exponent  of the candidate.
/// @param rise_k    of the candidate at the end of the highest current.
/// @return  rising current, one for each current that lasts (as far as the
///          model tells them apart); empty where nothing positive fits.
[[nodiscard]] std::vector<LevelRise> MeasureLevelRises(const Response& response,
                                                       const TemporalModel& model,
                                                       const Drive& drive,
                                                       Point center_px,
                                                       double exponent,
                                                       double rise_k);

}  // namespace ohmglow
