// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <variant>
#include <vector>

#include "ohmglow/sheet/sheet.h"
#include "picture/canvas.h"
#include "picture/marks.h"
#include "picture/style.h"
#include "sheet/sheet_pictures.h"

namespace ohmglow::internal {

// What is drawn, in page points (1/72 inch) from the top left corner.

struct PageText {
  std::string text;
  cv::Rect2d box;
  TextStyle style;
};

struct PagePicture {
  cv::Mat bgr;
  cv::Rect2d box;
  bool photographic = true;  ///< May be kept as JPEG.
  std::vector<Mark> marks;
  bool badges = true;
  TypeSizes sizes{400};
};

struct PageBadge {
  Point center;
  int number = 1;
  TypeSizes sizes{400};
};

struct PageFill {
  cv::Rect2d box;
  Color color;
};

using PageItem = std::variant<PageFill, PagePicture, PageBadge, PageText>;

/// The page, apart from drawing, so that tests can check that nothing overlaps
/// and that all text comes from the catalogue or from data.
struct SheetPage {
  cv::Size2d size_pt;
  std::vector<PageItem> items;  ///< In reading order.
  bool notes_fit = true;
  bool title_fits = true;
};

/// The same layout for every surface. Pictures shrink and notes get smaller
/// type until everything fits; then the notes are cut.
[[nodiscard]] SheetPage LayOutSheet(const SheetContent& content, const SheetPictures& pictures);

}  // namespace ohmglow::internal
