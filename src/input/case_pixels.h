// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>

#include "ohmglow/input/case.h"

namespace ohmglow {

/// Puts landmarks and contacts of a case in pixels that are squares of `binning` x `binning` of
/// those that they count.
void BinPlaces(int binning, Case& job);

/// Landmarks may lie beside the frames, but not most of them far away.
/// @param file  that they are from, for the message.
/// @throws InputError  where most lie further outside than a frame is wide or high.
void RequireInView(const std::vector<Landmark>& landmarks,
                   cv::Size frame_px,
                   const std::filesystem::path& file);

}  // namespace ohmglow
