// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "rank/peaks.h"

namespace ohmglow {

/// Size at which heat that came through the board is looked for: a Gaussian as wide as the
/// narrower half of it is, and its surroundings.
inline constexpr double kWideSigmaMm = 3;
inline constexpr double kWideSurroundingsMm = 18;

/// Heat that follows the supply, pixel by pixel: its strength in one typical slow course [K].
struct HeatLeft {
  Image whole_k;  ///< All of it ...
  Image left_k;   ///< ... and what the places known so far do not explain.
};

struct WidePlace {
  Peak peak;                ///< Its height is the clearness of what is left at this size.
  double held_of_left = 0;  ///< What the known places explain of its heat, over what is left.
};

struct WideRules {
  std::size_t most = 2;
  double least_left = 0.5;   ///< Of the place's own heat.
  double least_share = 0.5;  ///< Of the strongest that the known places hold at this size.
};

/// Places of wide heat, strongest first, that the finer sizes of the detector do not show: where a
/// lead contact or another small source sits on the slope of heat from below, only its own maximum
/// is seen. So the known places are taken out first. What they leave must be most of the heat
/// there, for round models leave up to a quarter of a source over in patchy copper; and no less
/// than half as strong as theirs, for heat of contacts comes out weaker elsewhere too.
/// @param clear_px  known places that are no contact's: what lies near them is theirs.
/// @param noise_k   of one pixel in either picture.
[[nodiscard]] std::vector<WidePlace> FindWidePlaces(const HeatLeft& heat,
                                                    const Mask& seen,
                                                    std::span<const Point> clear_px,
                                                    double mm_per_pixel,
                                                    double noise_k,
                                                    const WideRules& rules);

}  // namespace ohmglow
