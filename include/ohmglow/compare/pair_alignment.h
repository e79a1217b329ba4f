// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "ohmglow/align/static_view.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// How the view of a second capture lies on that of the first.
struct PairAlignment {
  PlaneMap after_from_before;  ///< Pixels.
  bool from_points = false;    ///< Started from board coordinates, not from the pictures alone.
  /// Standard error of a place, rms over the picture, pixels of BEFORE; from
  /// what the two pictures still differ by.
  double residual_px = 0;
  double agreement = 0;     ///< Correlation of the two textures where they overlap, -1 .. 1.
  double overlap = 0;       ///< Share of BEFORE's pixels that AFTER saw.
  double trust = 0;         ///< Probability that it is no chance match, 0 .. 1.
  double rotation_deg = 0;  ///< In the middle of the picture, from +x towards +y.
  double scale = 1;         ///< AFTER's pixels for one of BEFORE's, there.
};

/// A first guess from board coordinates of both captures.
struct PairStart {
  PlaneMap after_from_before;
  double error_px = 0.5;  ///< Standard error of a place under it.
};

struct PairAlignOptions {
  double max_rotation_deg = 32;  ///< Searched either way; 0 .. 180.
  double max_scale = 1.7;        ///< Searched up and down from `expected_scale`; > 1.
  double expected_scale = 1;     ///< AFTER's pixels for one of BEFORE's; > 0.
  double least_trust = 0.95;     ///< Below it the pair is refused; 0 .. 1.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Registers two static pictures of one board taken from different places: a
/// search over rotation, scale and shift by masked normalised correlation of
/// the textures, then a projective fit by robust Gauss-Newton. Parts that were
/// changed between the two are outliers.
/// @param start  a first guess from board coordinates; the search is left out where it holds.
/// @throws DataError  where no map can be trusted; says what to do. Where a
///         picture is empty or has another size than its mask.
/// Sources: Padfield, IEEE Trans. Image Process. 21 (2012) 2706-2718 (masked
/// correlation); Baker, Matthews, IJCV 56 (2004) 221-255 (Gauss-Newton).
[[nodiscard]] PairAlignment AlignPair(const StaticView& before,
                                      const StaticView& after,
                                      const std::optional<PairStart>& start,
                                      const PairAlignOptions& options);

}  // namespace ohmglow
