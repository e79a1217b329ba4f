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

/// A place as it is drawn, with a badge that bears its rank beside it: what may be
/// the fault as an open ring that leaves the place itself free, any other as a
/// small open dot.
struct Mark {
  int rank = 1;
  Point center;          ///< Picture pixels.
  double radius_px = 0;  ///< Of ring or dot.
  double area_px = 0;    ///< Radius of the area that holds the place with 95 % probability.
  bool may_be_fault = true;
  bool on_picture = true;
  /// Rank of the mark that leaves this one no room: it is listed, not drawn; 0: drawn.
  int hidden_by = 0;
  Point badge;

  [[nodiscard]] bool drawn() const { return on_picture && hidden_by == 0; }
};

/// Where the frame lies in the picture that is drawn upon.
struct PictureMap {
  PlaneMap picture_from_frame;
  bool is_photo = false;
  double scale = 1;  ///< Picture pixels per pixel of the photo or frame.
};

/// Centre and size of each candidate's mark, at most kMaxMarks. A ring is the area
/// that holds the place with 95 % probability, or as large as the eye needs. None
/// touches another: where two places lie too near for that, the less probable one's
/// ring is drawn smaller, or it is hidden.
[[nodiscard]] std::vector<Mark> MakeMarks(const LocateResult& result,
                                          const PictureMap& map,
                                          cv::Size picture_size_px,
                                          const TypeSizes& sizes);

inline constexpr std::size_t kMaxMarks = 8;

/// Puts each badge beside its mark, where it covers no place, mark or badge,
/// inside the picture and, where there is room, beside what is to be seen.
/// @param toward  unit vector to the side that is best where all are free.
void PlaceBadges(std::vector<Mark>& marks,
                 cv::Size picture_size_px,
                 Point toward,
                 const TypeSizes& sizes,
                 const PictureDetail& detail = {});

/// Boxes around what is drawn of the marks: rings, badges and the lines between them.
[[nodiscard]] std::vector<cv::Rect2d> BoxesOf(const std::vector<Mark>& marks,
                                              const TypeSizes& sizes);

/// Marks, badges and the lines between them that touch what belongs to another
/// mark: pairs, for checks. None is wanted.
[[nodiscard]] int NumTouching(const std::vector<Mark>& marks, const TypeSizes& sizes);

void DrawRings(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes);

/// Draws the numeral's disc; solid and dark where the place may be the fault,
/// pale with a thin rim where not.
void DrawBadge(Canvas& canvas, Point center, int rank, bool may_be_fault, const TypeSizes& sizes);

/// Draws all badges, tied to their marks where they stand far off.
void DrawBadges(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes);

}  // namespace ohmglow::internal
