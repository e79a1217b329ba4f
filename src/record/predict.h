// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "ohmglow/locate.h"
#include "record/pattern.h"

namespace ohmglow::record {

struct ExpectedCamera {
  double noise_k = 0.05;  ///< Of one pixel in one frame.
  double rate_hz = 8;
  double mm_per_pixel = 0.5;
};

/// The least power, at the top current, from which a small part on the side in view
/// usually gets a verdict under a pattern: what locate says of a made-up film of that
/// noise over a board that stays cold. Steady view, no drift of the camera: real films
/// need more (README.md).
/// @return  nothing where the pattern steps too little to tell.
[[nodiscard]] std::optional<double> LeastPower(const PatternOptions& pattern,
                                               const ExpectedCamera& camera);

}  // namespace ohmglow::record
