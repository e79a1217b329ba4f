// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/result.h"
#include "picture/canvas.h"
#include "picture/picture_detail.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// A place as it is drawn: an open ring that leaves the place itself free,
/// and a badge with the rank beside it.
struct Mark {
  int rank = 1;
  Point center;          ///< Picture pixels.
  double radius_px = 0;  ///< Of the ring.
  bool may_be_fault = true;
  bool on_picture = true;
  Point badge;
};

/// Where the frame lies in the picture that is drawn upon.
struct PictureMap {
  PlaneMap picture_from_frame;
  bool is_photo = false;
  double scale = 1;  ///< Picture pixels per pixel of the photo or frame.
};

/// Centre and ring of each candidate, at most kMaxMarks. The ring is at least as
/// wide as the warm spot and as three standard errors of the place, so that
/// what it marks stays uncovered.
[[nodiscard]] std::vector<Mark> MakeMarks(const LocateResult& result,
                                          const PictureMap& map,
                                          cv::Size picture_size_px,
                                          const TypeSizes& sizes);

inline constexpr std::size_t kMaxMarks = 8;

/// Puts each badge beside its ring, where it covers no place, ring or badge,
/// inside the picture and, where there is room, beside what is to be seen.
/// @param toward  unit vector to the side where the leader will leave.
void PlaceBadges(std::vector<Mark>& marks,
                 cv::Size picture_size_px,
                 Point toward,
                 const TypeSizes& sizes,
                 const PictureDetail& detail = {});

/// Draws rings (left open where one would run over another place).
void DrawRings(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes);

/// Draws the numeral's disc; solid and dark where the place may be the fault,
/// pale with a thin rim where not.
void DrawBadge(Canvas& canvas, Point center, int rank, bool may_be_fault, const TypeSizes& sizes);

/// Draws all badges, tied to their rings.
void DrawBadges(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes);

}  // namespace ohmglow::internal
