// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/words/words.h"
#include "picture/canvas.h"
#include "picture/close_up.h"
#include "picture/marks.h"
#include "picture/style.h"
#include "picture/text_block.h"

namespace ohmglow::internal {

/// What one kind of mark means, or what the picture's greys do, a sign before the words.
struct KeyItem {
  Mark sign;  ///< Canvas pixels; without badge.
  TextBlock words;
  bool is_grey = false;  ///< The sign is a strip from dark to bright.
};

/// The key of an overlay: of the kinds of marks that it shows, one item each, side by side where
/// there is room, else below one another.
/// @param greys  what the picture's greys mean; empty where it is a photo.
/// @param box  where it begins, and how wide it is; its height is set.
[[nodiscard]] std::vector<KeyItem> LayOutKey(const std::vector<Mark>& marks,
                                             const std::vector<CloseUp>& close_ups,
                                             const std::string& greys,
                                             cv::Rect2d& box,
                                             const TypeSizes& sizes,
                                             const Words& words);

/// Whether a mark's ring is smaller than the area that holds its place with 95 % probability:
/// it had no room, or would have hidden the picture.
[[nodiscard]] bool IsDrawnSmaller(const Mark& mark);

void DrawKey(Canvas& canvas, const std::vector<KeyItem>& key, const TypeSizes& sizes);

}  // namespace ohmglow::internal
