// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "ohmglow/compare/compare.h"
#include "ohmglow/words/words.h"
#include "picture/compare_cards.h"
#include "picture/compare_tags.h"
#include "picture/marks.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// One of the three pictures; tags in canvas pixels.
struct ComparePanel {
  cv::Rect picture;
  TextBlock heading;
  TextBlock title;  ///< Of the case, behind the heading.
  std::vector<Tag> tags;
};

/// Where everything of compare.png goes. Computed apart from drawing so that
/// tests can check that nothing overlaps or is cut off.
struct CompareLayout {
  TypeSizes sizes{1000};
  cv::Size canvas_px;
  TextBlock headline;
  TextBlock sentences;
  bool with_maps = false;
  ComparePanel before, after;
  cv::Rect2d length_bar;  ///< Room for bar and label.
  cv::Rect2d color_bar;   ///< Bar alone; its labels stand below it.
  TextBlock scale_note;
  bool with_unseen = false;
  cv::Rect unseen_swatch;
  TextBlock unseen_note;
  ComparePanel photo;
  std::vector<CompareCard> cards;
  std::vector<TextBlock> texts;  ///< Table of regions, then all that stands below.
};

/// What is drawn upon, at its final size.
struct ComparePictures {
  cv::Size map_px;
  PictureMap map;
  cv::Size photo_px;
  PictureMap photo;
};

inline constexpr std::size_t kMostComparedPlaces = 10;

/// Width and height that the photo may take where maps are `map_px` large.
[[nodiscard]] cv::Size PhotoRoom(cv::Size map_px, std::size_t num_places);

/// @param pictures  left empty where `OnlyRegions(result)`.
[[nodiscard]] CompareLayout LayOutCompare(const CompareResult& result,
                                          const ComparePictures& pictures,
                                          const Words& words = Words::Report());

}  // namespace ohmglow::internal
