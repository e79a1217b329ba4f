// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <opencv2/core.hpp>
#include <string>

#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// How one place warmed: rise and warm area against time, with what was fitted
/// and its 95 % band, the supply's steps underneath; and the rise against
/// current with the fitted exponent.
/// @param place  rank, from 1.
/// @return       8-bit BGR, 1600 pixels wide.
/// @throws OptionError  where the result lists no such place.
[[nodiscard]] cv::Mat DrawGrowth(const LocateResult& result,
                                 std::size_t place,
                                 const Words& words = Words::Report());

/// growth.csv: one row for each place and time,
/// candidate,time_s,amps,rise_k,area_mm2,heat_k_mm2,fit_k,fit_sigma_k, with the
/// digits of result.json. Unknown numbers are empty.
[[nodiscard]] std::string ToGrowthCsv(const LocateResult& result);

}  // namespace ohmglow
