// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "ohmglow/compare/compare.h"
#include "ohmglow/words/words.h"
#include "picture/style.h"
#include "picture/text_block.h"

namespace ohmglow::internal {

/// What changed at one place, in words.
struct CompareCard {
  std::string letter;
  bool suspect = false;
  cv::Rect2d box;                ///< All of it, letter included.
  Point disc;                    ///< Middle of the letter.
  std::vector<TextBlock> lines;  ///< The first is the name, in bold.
};

/// Where cards stand below one another, in the order of reading.
struct CardColumns {
  std::vector<Point> corners;  ///< Top left.
  double width_px = 0;
};

inline constexpr std::size_t kFewCards = 4;  ///< Up to here one column holds them.

/// Beside the photo; many cards in two columns, or beside and below a wide one.
[[nodiscard]] CardColumns ColumnsBeside(cv::Rect photo,
                                        double canvas_px,
                                        std::size_t num_cards,
                                        const TypeSizes& sizes);

/// The places' cards in the columns, down to the least height that holds them.
[[nodiscard]] std::vector<CompareCard> LayOutCards(const CompareResult& result,
                                                   const std::vector<ComparedPlace>& places,
                                                   const CardColumns& columns,
                                                   const TypeSizes& sizes,
                                                   const Words& words = Words::Report());

}  // namespace ohmglow::internal
