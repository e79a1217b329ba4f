// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "picture/canvas.h"

namespace ohmglow::internal {

/// A text and where it goes, canvas pixels.
struct TextBlock {
  std::string text;
  cv::Rect2d box;
  TextStyle style;
};

/// Sets the box's height by its text; returns its lower end.
double Fit(TextBlock& block);

/// The same with no-break spaces after digits: a number stays with its unit.
[[nodiscard]] std::string Unbroken(std::string text);

/// Writes it; nothing where it is empty.
void Draw(Canvas& canvas, const TextBlock& block);

}  // namespace ohmglow::internal
