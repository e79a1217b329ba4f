// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/compare/compare.h"

namespace ohmglow::testing {

/// What an invented comparison looks like.
struct SampleCompareOptions {
  CompareVerdict verdict = CompareVerdict::kRepaired;
  int num_places = 3;  ///< At most 10; those beyond the eighth are new ones.
  cv::Size photo_size_px{1400, 1100};
  bool maps = true;     ///< With photo and board maps.
  bool unseen = true;   ///< The second capture misses a corner.
  int num_regions = 0;  ///< At most 20.
};

/// A comparison as `Compare` might return it, of MakeSampleResult()'s board
/// before and after work on it; all values are made up.
[[nodiscard]] CompareResult MakeSampleCompare(const SampleCompareOptions& options);

/// The board's photo for the same options; empty without maps.
[[nodiscard]] cv::Mat MakeSampleComparePhoto(const SampleCompareOptions& options);

/// Two regions, nothing heated: no maps, no places.
[[nodiscard]] CompareResult MakeSampleRegions(int num_regions);

}  // namespace ohmglow::testing
