// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "ohmglow/sheet/sheet.h"
#include "picture/color_scale.h"

namespace ohmglow::internal {

/// A place in a picture, whatever size it is drawn at.
struct SheetSpot {
  int number = 1;
  Point at_share;           ///< Shares of the picture's width and height.
  double radius_share = 0;  ///< Of the warm spot, of the picture's width.
  bool solid = true;        ///< Else dashed.
};

struct SheetPicture {
  cv::Mat bgr;  ///< 8-bit BGR; empty: there is none.
  std::vector<SheetSpot> spots;
};

/// All pictures of the page, not larger than print can show.
struct SheetPictures {
  cv::Mat logo;
  SheetPicture board;  ///< The photo, or the static thermal picture.
  bool board_is_photo = false;
  SheetPicture heat;
  bool heat_as_photo = false;            ///< The heat pictures show the board as the photo does.
  bool heat_has_rest = false;            ///< And a part of it that was not filmed.
  std::optional<ColorScale> heat_scale;  ///< Kelvin.
  SheetPicture before;
  SheetPicture after;
  std::optional<ColorScale> repair_scale;  ///< Kelvin; one for both.
};

/// At most this many places are marked.
inline constexpr std::size_t kSheetMarks = 8;

[[nodiscard]] SheetPictures MakeSheetPictures(const SheetContent& content);

/// A colour bar, the high end above.
[[nodiscard]] cv::Mat BarPixels(const ColorScale& scale);

}  // namespace ohmglow::internal
