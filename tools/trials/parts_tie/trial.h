// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "ohmglow/align/static_view.h"
#include "ohmglow/input/case.h"
#include "simulate/capture.h"

namespace ohmglow::trials {

/// A board, where the cameras stood and what they do to a picture: photos of 10 to
/// 60 pixels a millimetre, any quarter turn, slanted or not, with prints that are in
/// no list; frames of 2 to 6 pixels a millimetre.
[[nodiscard]] simulate::Setting MakeTrial(std::uint64_t seed);

/// The mean of a few frames before any current, dead pixels mended.
[[nodiscard]] StaticView MakeStill(const simulate::Setting& setting);

/// A list as it comes from elsewhere: in axes of its own (`list_from_board`), a
/// tenth of the bodies missing, some listed that were not placed, sizes wrong by a
/// tenth and rounded.
struct List {
  std::vector<Part> parts;
  cv::Matx33d list_from_board;
};

[[nodiscard]] List MakeList(const simulate::Setting& setting, std::uint64_t seed);

}  // namespace ohmglow::trials
