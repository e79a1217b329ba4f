// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// A place where a lead of the supply touches the board, to be marked in a map.
struct MapContact {
  Point frame_px;  ///< Reference frame; skipped where it lies outside.
  std::string name;
};

/// The candidates on the user's photo, or on the static frame picture where
/// `photo` is empty or cannot be mapped. The picture is enlarged to 1000 pixels
/// or reduced to 2400 where need be; headline, legend and scale bar stand in
/// margins. At most eight places are drawn.
/// What may be the fault is shown once more, enlarged, with the parts around it. On a photo the
/// outline of what the thermal camera saw is drawn, where that is not all of it.
/// @param photo  8-bit BGR, may be empty.
/// @param parts  the case's list, for the outlines and names there; may be empty.
/// @return       8-bit BGR.
[[nodiscard]] cv::Mat DrawOverlay(const LocateResult& result,
                                  const cv::Mat& photo,
                                  const std::vector<Part>& parts = {},
                                  const Words& words = Words::Report());

/// One place and 12 mm around it, enlarged, from the photo or, where there is
/// none, the static frame picture: for places that no parts list names.
/// @param place  its rank, from 1.
/// @return       8-bit BGR; empty where the picture does not show the place.
/// @throws OptionError  where the list has no such place.
[[nodiscard]] cv::Mat DrawCrop(const LocateResult& result,
                               std::size_t place,
                               const cv::Mat& photo,
                               const Words& words = Words::Report());

/// The heat response in the frame's view, with scale bars in kelvin and
/// millimetres, the candidates and the places marked where the supply's leads touch the board.
/// @return  8-bit BGR.
[[nodiscard]] cv::Mat DrawMap(const LocateResult& result,
                              const std::vector<MapContact>& contacts = {},
                              const Words& words = Words::Report());

/// The heat by place, sharpened, in the same view: scale bars in watts and
/// millimetres, the candidates marked. Without a power map all is zero.
[[nodiscard]] cv::Mat DrawPowerMap(const LocateResult& result,
                                   const Words& words = Words::Report());

}  // namespace ohmglow
