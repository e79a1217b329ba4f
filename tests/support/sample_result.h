// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/result.h"

namespace ohmglow::testing {

/// What an invented result looks like.
struct SampleOptions {
  int num_candidates = 3;
  Verdict verdict = Verdict::kFound;
  cv::Size photo_size_px{1400, 1100};
  bool maps = true;         ///< With photo and board maps.
  bool close_pair = false;  ///< The second place 2 mm from the first.
};

/// A result as `Locate` might return it, of an invented tide-gauge readout
/// board of 60 mm x 46 mm; all values are made up.
[[nodiscard]] LocateResult MakeSampleResult(const SampleOptions& options);

/// An invented photo of that board, 8-bit BGR.
[[nodiscard]] cv::Mat MakeSamplePhoto(const SampleOptions& options);

}  // namespace ohmglow::testing
