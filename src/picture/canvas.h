// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "picture/color.h"

struct _cairo;  // Keeps cairo's header out of ours.

namespace ohmglow::internal {

enum class TextAlign { kStart, kCentre, kEnd };

struct TextStyle {
  double size_px = 16;
  bool bold = false;
  Color color;
  int max_lines = 1;  ///< Further text is cut with an ellipsis.
  TextAlign align = TextAlign::kStart;
  /// The text's first letter tells its direction: a paragraph of its own in a
  /// right-to-left script then starts at the right.
  bool own_direction = false;
  /// For pages: glyphs stand at exact places instead of whole units, and a long
  /// word is broken without a hyphen that the text does not have.
  bool exact = false;
};

struct Stroke {
  Color color;
  double width_px = 1;
  std::vector<double> dash_px;  ///< Empty: solid.
};

/// A drawing surface: anti-aliased lines and shaped text (any script that the
/// fonts hold). Same calls, same fonts: same pixels. Coordinates are pixels,
/// pixel centres at whole numbers; on a context from elsewhere they are that
/// context's own units, which need no such convention.
class Canvas {
 public:
  Canvas(cv::Size size_px, Color background);
  /// Draws on a page that somebody else keeps (cairo context, referenced here).
  /// PutImage() and ToBgr() are for the other kind.
  explicit Canvas(_cairo* context);
  ~Canvas();
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  /// Copies 8-bit BGR pixels, unscaled, top left corner at (x, y).
  void PutImage(const cv::Mat& bgr, int x, int y);
  /// Fits 8-bit BGR pixels into a box.
  /// @param jpeg  the same picture as a JPEG file, which a vector page then holds
  ///              instead of the bare pixels; may be empty.
  void PutPicture(const cv::Mat& bgr, cv::Rect2d box, const std::string& jpeg);
  /// Until Unclip() nothing is drawn outside the box.
  void Clip(cv::Rect2d box);
  void Unclip();
  void Line(const std::vector<Point>& points, const Stroke& stroke);
  /// Part of a circle, angles from +x towards +y [rad].
  void Arc(Point center, double radius_px, double from_rad, double to_rad, const Stroke& stroke);
  void FillCircle(Point center, double radius_px, Color color);
  /// A closed shape, corners in order.
  void FillPolygon(const std::vector<Point>& corners, Color color);
  void FillBox(cv::Rect2d box, Color color);
  /// Writes into the box's width from its top left corner.
  void Text(const std::string& text, cv::Rect2d box, const TextStyle& style);
  /// Writes one line centred on a point.
  void TextCentred(const std::string& text, Point center, const TextStyle& style);
  /// Width and height that `Text` would take in a box of the given width.
  [[nodiscard]] static cv::Size2d Measure(const std::string& text,
                                          double width_px,
                                          const TextStyle& style);
  /// A copy as 8-bit BGR.
  [[nodiscard]] cv::Mat ToBgr() const;

 private:
  struct Surface;
  std::unique_ptr<Surface> surface_;
  cv::Size size_px_;
  double shift_px_;  ///< Cairo's pixel centres lie at halves.
};

}  // namespace ohmglow::internal
