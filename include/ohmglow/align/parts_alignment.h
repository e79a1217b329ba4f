// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "ohmglow/align/static_view.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Where the bodies of a parts list lie in a picture, found without landmarks.
struct PartsAlignment {
  PlaneMap picture_from_board;  ///< Pixels from millimetres.
  bool accepted = false;        ///< Whether `trust` reaches the least that was asked for.
  double trust = 0;             ///< Probability that it is no chance match, 0 .. 1.
  /// How much likelier the bodies in view make the map than any place: logarithm.
  double evidence = 0;
  double rival_evidence = 0;  ///< The same of the best map that lies elsewhere, 0 at least.
  double error_mm = 0;          ///< Standard error of a place, rms over the bodies in view.
  bool mirrored = false;        ///< Board x and y turn the other way round than the pixels'.
};

struct PartsAlignOptions {
  double least_trust = 0.95;  ///< Below it the map is not accepted; 0 .. 1.
  double most_tilt_deg = 30;  ///< Slant of a photo that is searched; 0 .. 45.
  /// Millimetres of the board in a pixel, in the middle of the picture, if known ...
  std::optional<double> mm_per_pixel = {};
  double within = 0.1;  ///< ... and to what share; in (0, 0.5].

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Lays the outlines of the bodies on one side of the list on a picture of that
/// side: directions of edges, as AlignPhoto(), of the bodies drawn as a picture of
/// their own. Both hands of the board's axes are tried, each is the other's rival.
/// @param photo  8-bit BGR or grey.
/// @return  the best map; whether it is to be believed stands in it. Fewer than
///          four bodies on the side are never believed.
/// @throws DataError  where the picture is empty or of another kind.
[[nodiscard]] PartsAlignment AlignPartsToPhoto(const std::vector<Part>& parts,
                                               BoardSide side,
                                               const cv::Mat& photo,
                                               const PartsAlignOptions& options);

/// The same for a static thermal picture, seen about straight: bodies show by
/// their emissivity and by what they cover.
[[nodiscard]] PartsAlignment AlignPartsToFrame(const std::vector<Part>& parts,
                                               BoardSide side,
                                               const StaticView& thermal,
                                               const PartsAlignOptions& options);

}  // namespace ohmglow
