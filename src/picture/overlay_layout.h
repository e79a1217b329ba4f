// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/result.h"
#include "picture/close_up.h"
#include "picture/filmed_area.h"
#include "picture/length_bar.h"
#include "picture/marks.h"
#include "picture/overlay_key.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// One entry of the legend.
struct Card {
  int rank = 1;
  bool may_be_fault = true;
  cv::Rect2d box;                  ///< All of it, numeral included.
  Point badge;                     ///< Its numeral's centre: the numeral ties mark and entry.
  cv::Rect2d text;                 ///< The lines below one another.
  std::vector<std::string> lines;  ///< The first is the name, in bold.
};

/// Where everything of an overlay goes, marks too, in canvas pixels. Computed
/// apart from drawing so that tests can check that nothing overlaps or is cut off.
struct OverlayLayout {
  TypeSizes sizes{1000};
  cv::Size canvas_px;
  cv::Rect picture;
  cv::Rect2d headline;
  cv::Rect2d detail;
  cv::Rect2d footer;
  bool legend_below = false;
  std::optional<FilmedArea> filmed;
  std::optional<BarOnPicture> bar;
  std::vector<Mark> marks;
  std::vector<CloseUp> close_ups;
  std::vector<Card> cards;   ///< One per mark, by rank from the top or the left.
  std::vector<KeyItem> key;  ///< What rings and dots mean.
  cv::Rect2d key_box;
  std::string headline_text;
  std::string detail_text;
};

/// @param picture_size_px  the picture that is drawn upon, at its final size.
[[nodiscard]] OverlayLayout LayOutOverlay(const LocateResult& result,
                                          const PictureMap& map,
                                          cv::Size picture_size_px,
                                          const std::vector<Part>& parts = {},
                                          const PictureDetail& detail = {},
                                          const Words& words = Words::Report());

[[nodiscard]] TextStyle HeadlineStyle(const TypeSizes& sizes);
[[nodiscard]] TextStyle DetailStyle(const TypeSizes& sizes);
/// @param index  line of the card; 0 is the name.
[[nodiscard]] TextStyle CardStyle(const TypeSizes& sizes, bool may_be_fault, std::size_t index);

}  // namespace ohmglow::internal
