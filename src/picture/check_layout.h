// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "ohmglow/check/registration_check.h"
#include "ohmglow/words/words.h"
#include "picture/style.h"
#include "picture/text_block.h"

namespace ohmglow::internal {

/// A picture with its heading above and a note below.
struct CheckPanel {
  TextBlock heading;
  cv::Rect picture;
  TextBlock note;
};

/// Where everything of align.png goes, computed apart from drawing so that
/// tests can check that nothing overlaps or is cut off.
struct CheckLayout {
  TypeSizes sizes{1000};
  cv::Size canvas_px;
  TextBlock headline;
  TextBlock sentences;
  CheckPanel row_before, row_after;
  CheckPanel column_before, column_after;
  CheckPanel curves;
  CheckPanel residual;
  cv::Rect2d color_bar;  ///< Its labels stand right of it.
  CheckPanel photo;
  TextBlock footer;

  [[nodiscard]] std::vector<const CheckPanel*> panels() const;
};

/// @param photo_px  size of what the outlines are drawn on, of any scale.
/// @param on_photo  it is a photo rather than the static picture.
[[nodiscard]] CheckLayout LayOutCheck(const RegistrationCheck& check,
                                      cv::Size photo_px,
                                      bool on_photo,
                                      const Words& words = Words::Report());

}  // namespace ohmglow::internal
