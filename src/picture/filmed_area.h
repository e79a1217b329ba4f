// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "picture/canvas.h"
#include "picture/marks.h"
#include "picture/picture_detail.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// What the thermal camera saw of the photo: outside of it the answer says nothing.
struct FilmedArea {
  std::vector<Point> outline;  ///< Closed; picture pixels.
  std::string words;
  cv::Rect2d label;  ///< Of the words, on the outline; empty where there is no room.
};

/// @param words  that the label shall say.
/// @return       empty where the picture is no photo, or all of it was filmed.
[[nodiscard]] std::optional<FilmedArea> MakeFilmedArea(cv::Size frame_px,
                                                       const PictureMap& map,
                                                       cv::Size picture_size_px,
                                                       const std::string& words);

/// Puts the label on the outline, where it covers nothing that is taken and hides the least.
void PlaceLabel(FilmedArea& area,
                cv::Size picture_size_px,
                const std::vector<cv::Rect2d>& taken,
                const TypeSizes& sizes,
                const PictureDetail& detail);

void DrawFilmedArea(Canvas& canvas,
                    const FilmedArea& area,
                    const cv::Rect& picture,
                    const TypeSizes& sizes);

}  // namespace ohmglow::internal
