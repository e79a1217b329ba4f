// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/board_maps.h"
#include "ohmglow/align/static_view.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// How the thermal picture lies on the photo, found without landmarks.
struct PhotoAlignment {
  PlaneMap photo_from_frame;
  bool accepted = false;  ///< Whether `trust` reaches the least that was asked for.
  double trust = 0;       ///< Probability that it is no chance match, 0 .. 1.
  double z = 0;           ///< Likeness of the edges, in standard errors.
  double rival_z = 0;     ///< The same of the best map that lies elsewhere.
  /// Standard error of a place, rms over the frame [photo px], from how well
  /// small areas of the pictures agree on the map.
  double error_px = 0;
};

struct PhotoAlignOptions {
  double least_trust = 0.95;  ///< Below it the map is not accepted; 0 .. 1.
  double most_tilt_deg = 30;  ///< Slant of the photo that is searched; 0 .. 45.
  /// Frames that go into the photo, each way: searched between these.
  double least_frames = 0.7;  ///< > 0.
  double most_frames = 2.6;   ///< At least `least_frames`, at most 10.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Lays a static thermal picture on a photo of the same side of the board by
/// the directions of edges, which both show whatever the sign of the contrast.
/// The photo is seen straight first: most edges of a board run two ways, at
/// right angles to each other; the slant that makes them do so is taken out.
/// Then scale, turn (any quarter turn and a few degrees) and shift are searched
/// for, and the best maps refined to projective ones by small areas.
/// @param thermal  pixels that are not finite or not seen do not count.
/// @param photo    8-bit BGR or grey.
/// @return  the best map; whether it is to be believed stands in it.
/// @throws DataError  where a picture is empty or the mask has another size.
/// Sources: Haber, Modersitzki, Methods Inf. Med. 46 (2007) 292-299 (normalised
/// gradient fields); Fischler, Bolles, CACM 24 (1981) 381-395 (consensus).
[[nodiscard]] PhotoAlignment AlignPhoto(const StaticView& thermal,
                                        const cv::Mat& photo,
                                        const PhotoAlignOptions& options);

/// The maps of a case: from its landmarks; where these are fewer than three and
/// there is a photo, the map to the photo from the pictures; where they have no
/// board coordinates and there is a parts list, the map to the board from where
/// the outlines of its bodies fall in the photo, else in the frame (see
/// parts_alignment.h). Each only where it is accepted. A remark says which it was,
/// or what to give instead.
/// @param still  the static thermal picture in the reference frame.
/// @throws DataError  see FitBoardMaps(), AlignPhoto().
[[nodiscard]] BoardMaps TieToBoard(const Case& job,
                                   const StaticView& still,
                                   const PhotoAlignOptions& options = {});

}  // namespace ohmglow
