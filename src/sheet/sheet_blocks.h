// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "sheet/sheet_layout.h"
#include "sheet/sheet_phrases.h"
#include "sheet/sheet_regions.h"

namespace ohmglow::internal {

/// Width of a colour bar with its labels, beside a picture.
inline constexpr double kBarColumnPt = 64;

/// The largest size with the picture's shape that fits into a box; empty for an
/// empty picture.
[[nodiscard]] cv::Size2d FitInto(cv::Size picture_px, cv::Size2d box_pt);

/// The size with the picture's shape at a height; empty for an empty picture.
[[nodiscard]] cv::Size2d WithHeight(cv::Size picture_px, double height_pt);

/// The height at which pictures in a row take a width together, at most `most_pt`.
[[nodiscard]] double RowHeight(const std::vector<cv::Size>& pictures_px,
                               double width_pt,
                               double most_pt);

/// A text of parts between commas, such as an address, broken at commas only: as
/// few lines as the width allows, and those about equally long. One line where
/// that cannot be done.
[[nodiscard]] std::vector<std::string> BreakAtCommas(const std::string& text,
                                                     double width_pt,
                                                     const TextStyle& style);

/// Puts parts of the page on its list of items; lengths in points.
class SheetBlocks {
 public:
  /// @param items, phrases  outlive this.
  SheetBlocks(std::vector<PageItem>& items, const SheetPhrases& phrases, bool right_to_left)
      : items_(items), phrases_(phrases), right_to_left_(right_to_left) {}

  /// Text from a file, wrapped into a width. @return the height taken.
  double PutText(const std::string& text, Point corner, double width, TextStyle style);
  /// A text of the catalogue, in the direction of its language.
  double PutPhrase(const std::string& text, Point corner, double width, TextStyle style);
  /// As much of a paragraph as fits into the box's height, the rest cut with an
  /// ellipsis. @return the height taken; 0 where not even one line fits.
  double PutTextWithin(const std::string& text, cv::Rect2d box, TextStyle style);
  /// Rows of a table, the first in bold; each cell one line.
  /// @return the height taken.
  double PutTable(const SheetTable& rows, Point corner, double width);
  /// A picture with its places marked.
  void PutPicture(const SheetPicture& picture, cv::Rect2d box, bool badges);
  /// The badges of the places with what they are.
  double PutLegend(const std::vector<const Candidate*>& places,
                   Point corner,
                   double width,
                   int max_lines);
  /// A colour bar with labelled ticks, its left end at the picture's right one.
  void PutBar(const ColorScale& scale_k, Point corner, double height);

 private:
  std::vector<PageItem>& items_;
  const SheetPhrases& phrases_;
  bool right_to_left_;
};

}  // namespace ohmglow::internal
