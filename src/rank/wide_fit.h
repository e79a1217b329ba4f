// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <functional>
#include <optional>
#include <vector>

#include "heat/response.h"
#include "ohmglow/align/board_maps.h"
#include "rank/spot.h"
#include "rank/spot_powers.h"
#include "rank/wide_places.h"

namespace ohmglow {

/// What a place of wide heat is, where it follows the supply for sure.
using MeasureWide = std::function<std::optional<Spot>(const WidePlace&)>;

/// The first rounds of the fit. Wide heat that the known spots hide becomes a spot of its own,
/// before the others: once it is one, they hold less of it, and its middle lies elsewhere.
/// @param spots  those of the detector; where wide heat is found, those near it that are no
///               contact's go.
/// @return       from `AllHeat()`, all spots taken out.
[[nodiscard]] Eigen::MatrixXf FitFirst(const SpotPowers& powers,
                                       const BoardMaps& maps,
                                       const Response& response,
                                       const MeasureWide& measure,
                                       std::vector<Spot>& spots);

}  // namespace ohmglow
