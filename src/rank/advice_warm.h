// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/response.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Warm places of the response map that the list does not hold, the warmest first:
/// far above the noise, warm beside the warmest of the map, beyond the reach of what
/// is listed. Someone who looks at the map asks about them.
/// @param result  with candidates and mm_per_pixel.
[[nodiscard]] std::vector<Point> WarmUnlisted(const Response& response, const LocateResult& result);

/// A remark on them, empty without any. Those of which the detector says that
/// the supply's steps do not explain them are told from the others.
/// @param threshold  of the detector, PlaceThreshold().
[[nodiscard]] Remark SayWarmUnlisted(const Response& response,
                                     const LocateResult& result,
                                     const std::vector<Part>& parts,
                                     double threshold);

/// "near U3", "at 12, 40.5 mm" where no part is near, "at pixel 131, 78" without a
/// board map.
[[nodiscard]] Remark NearestName(Point frame_px,
                                 const LocateResult& result,
                                 const std::vector<Part>& parts);

}  // namespace ohmglow
