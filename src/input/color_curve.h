// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "input/color_bar.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

struct ColorCurveOptions {
  int knots = 64;              ///< Of the curve; >= 8.
  double chroma_weight = 0.6;  ///< Of colour against brightness: video keeps less of it; > 0.
  double reach = 45;           ///< Farthest a colour may lie off the curve, of 255; > 0.
  double largest_gap = 90;     ///< In the row of colours, of 255; > 0.
  bool dark_is_warm = false;   ///< Else the brighter end is.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Values from colours, along the line that the colours of a capture form: whatever row of
/// colours a camera paints temperature with, its pictures hold that row and little else.
///
/// The colours that occur are taken as points (brightness and two of colour), joined by the
/// shortest tree that holds them all; the longest way through it, smoothed by the points
/// that lie near, is the row. Its warm end is taken for the brighter one. Where a bar of the
/// colours is drawn in, it says which end is warm, and its even steps are those of the values.
/// Sources: Prim, Bell Syst. Tech. J. 36 (1957) 1389-1401; principal curves: Hastie,
/// Stuetzle, J. Am. Stat. Assoc. 84 (1989) 502-516.
class ColorCurve {
 public:
  using Color = cv::Vec3f;  ///< Brightness, then blue and red against it, weighted.

  /// @param pictures_bgr  CV_8UC3, of one size, at least one; some of the capture's frames.
  /// @throws DataError  where they hold no row of colours.
  ColorCurve(const std::vector<cv::Mat>& pictures_bgr, const ColorCurveOptions& options);

  /// 0 (cold end) .. 255 along the curve; NaN where the colour lies too far off: drawn in;
  /// and on the bar.
  [[nodiscard]] Image Values(const cv::Mat& bgr) const;

  /// Whether the pictures are grey, for all their three channels; then a value is the
  /// brightness.
  [[nodiscard]] bool is_grey() const { return is_grey_; }
  /// The curve's knots from the cold end to the warm one; empty for grey pictures.
  [[nodiscard]] const std::vector<Color>& knots() const { return knots_; }
  /// The bar of colours seen in the pictures.
  [[nodiscard]] const std::optional<ColorBar>& bar() const { return bar_; }

 private:
  void UseBar(const std::vector<cv::Mat>& pictures_bgr);
  void Tabulate();
  [[nodiscard]] float ValueAt(const Color& color) const;

  ColorCurveOptions options_;
  bool is_grey_ = false;
  std::vector<Color> knots_;
  std::optional<ColorBar> bar_;
  std::vector<float> even_;   // Value by place along the curve, 0 .. 255; empty without a bar.
  std::vector<float> table_;  // By blue, green, red in steps of 4.
};

}  // namespace ohmglow
