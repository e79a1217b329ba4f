// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"
#include "picture/canvas.h"
#include "picture/length_bar.h"
#include "picture/marks.h"
#include "picture/picture_detail.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// A part of the list as it lies in a close-up.
struct PartOutline {
  std::string name;            ///< Cleaned; empty where it would cover another name.
  std::vector<Point> corners;  ///< Canvas pixels, closed.
  Point name_at;               ///< Its middle.
};

/// A place and its neighbours, enlarged, beside the whole picture.
struct CloseUp {
  int rank = 1;
  cv::Rect source;  ///< Square of the picture, its pixels.
  cv::Rect box;     ///< Where it is drawn; canvas pixels.
  Mark mark;        ///< Of the place, as it lies in the box.
  std::vector<PartOutline> parts;
  bool other_side = false;          ///< The outlines are of parts that the picture does not show.
  std::optional<BarOnPicture> bar;  ///< Empty: no millimetres, or no room.
  std::string caption;              ///< Below the box; may be empty.
};

/// At most two of the marks, by rank: those that may be the fault and whose ring
/// covers less than a twentieth of the picture, so that a glance at the whole
/// does not tell which of two neighbours it is.
[[nodiscard]] std::vector<Mark> WorthEnlarging(const std::vector<Mark>& marks,
                                               cv::Size picture_size_px);

/// @param mark      in the picture's own pixels.
/// @param box       square, canvas pixels.
/// @param parts     the case's list; may be empty.
/// @param detail    of the whole picture: names rather go where it is even than over what is
///                  printed there.
[[nodiscard]] CloseUp LayOutCloseUp(const LocateResult& result,
                                    const PictureMap& map,
                                    cv::Size picture_size_px,
                                    const Mark& mark,
                                    cv::Rect box,
                                    const std::vector<Part>& parts,
                                    const PictureDetail& detail,
                                    const TypeSizes& sizes,
                                    const Words& words = Words::Report());

/// Height that the line below a close-up takes.
[[nodiscard]] double CaptionHeight(const CloseUp& close_up, const TypeSizes& sizes);

/// @param picture  8-bit BGR, the whole.
void DrawCloseUp(Canvas& canvas,
                 const CloseUp& close_up,
                 const cv::Mat& picture,
                 const TypeSizes& sizes);

}  // namespace ohmglow::internal
