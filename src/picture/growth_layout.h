// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "picture/growth_numbers.h"
#include "picture/style.h"
#include "picture/text_block.h"

namespace ohmglow::internal {

/// A plot's box, its title above, the numbers of its axes outside.
struct GrowthPanel {
  TextBlock title;
  cv::Rect2d plot;
};

/// Where everything of a growth plot goes, computed apart from drawing so that
/// tests can check that nothing overlaps or is cut off.
struct GrowthLayout {
  TypeSizes sizes{1000};
  cv::Size canvas_px;
  TextBlock headline;
  TextBlock detail;
  GrowthPanel rise, area, current;  ///< Against time, one below the other.
  TextBlock time_label;
  GrowthPanel levels;  ///< Rise against current.
  TextBlock current_label;
  TextBlock legend;  ///< What the marks are.
  TextBlock words;   ///< What the exponent means.
  TextBlock footer;

  [[nodiscard]] std::vector<const TextBlock*> texts() const;
  [[nodiscard]] std::vector<const GrowthPanel*> panels() const;
};

/// @param place  rank, from 1; the result lists it.
[[nodiscard]] GrowthLayout LayOutGrowth(const LocateResult& result,
                                        std::size_t place,
                                        const GrowthNumbers& numbers,
                                        const Words& words = Words::Report());

}  // namespace ohmglow::internal
