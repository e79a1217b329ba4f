// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sheet/sheet_blocks.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow::internal {
namespace {

const TypeSizes kMarkSizes{430};       // Marks as on a picture 430 points wide.
constexpr double kLargestRing = 0.09;  // Of the picture's short side.
constexpr std::string_view kRightToLeftMark = "\u200F";

std::vector<Mark> MarksIn(const SheetPicture& picture, cv::Rect2d box, bool badges) {
  std::vector<Mark> marks;
  const double least_pt = 0.9 * kMarkSizes.badge_radius_px;
  const double most_pt = std::max(least_pt, kLargestRing * std::min(box.width, box.height));
  for (const SheetSpot& spot : picture.spots) {
    Mark mark;
    mark.rank = spot.number;
    mark.center = {spot.at_share.x * box.width, spot.at_share.y * box.height};
    const double wanted_pt = spot.radius_share * box.width + 2 * kMarkSizes.line_px;
    mark.radius_px = std::clamp(std::isfinite(wanted_pt) ? wanted_pt : 0, least_pt, most_pt);
    mark.may_be_fault = spot.solid;
    // False for a place that is no number, too.
    mark.on_picture = mark.center.x >= 0 && mark.center.y >= 0 && mark.center.x <= box.width &&
                      mark.center.y <= box.height;
    marks.push_back(mark);
  }
  if (badges) {
    const cv::Size size(static_cast<int>(box.width), static_cast<int>(box.height));
    PlaceBadges(marks, size, {0.7, -0.7}, kMarkSizes);
  }
  for (Mark& mark : marks) {
    mark.center += box.tl();
    mark.badge += box.tl();
  }
  return marks;
}

// At least as many lines as the box can hold.
int LinesIn(cv::Rect2d box, const std::string& text, TextStyle style) {
  style.max_lines = 1;
  const double line_pt = std::max(1.0, Canvas::Measure(text, box.width, style).height);
  return static_cast<int>(std::max(0.0, box.height) / line_pt) + 1;
}

}  // namespace

cv::Size2d FitInto(cv::Size picture_px, cv::Size2d box_pt) {
  if (picture_px.area() <= 0) return {};
  const double scale = std::min(box_pt.width / picture_px.width, box_pt.height / picture_px.height);
  return {scale * picture_px.width, scale * picture_px.height};
}

cv::Size2d WithHeight(cv::Size picture_px, double height_pt) {
  if (picture_px.area() <= 0) return {};
  return {height_pt * picture_px.width / picture_px.height, height_pt};
}

double RowHeight(const std::vector<cv::Size>& pictures_px, double width_pt, double most_pt) {
  double aspects = 0;
  for (const cv::Size size : pictures_px) {
    if (size.area() > 0) aspects += static_cast<double>(size.width) / size.height;
  }
  return aspects > 0 ? std::min(most_pt, width_pt / aspects) : 0;
}

std::vector<std::string> BreakAtCommas(const std::string& text,
                                       double width_pt,
                                       const TextStyle& style) {
  constexpr std::size_t kMostParts = 8;
  std::vector<std::string> parts;
  for (std::size_t pos = 0; pos < text.size();) {
    const std::size_t comma = std::min(text.find(", ", pos), text.size());
    parts.push_back(text.substr(pos, comma - pos));
    pos = comma + 2;
  }
  if (parts.size() < 2 || parts.size() > kMostParts) return {text};
  std::vector<std::string> best;
  double best_pt = width_pt;
  // Bit i of `breaks`: a line ends behind part i.
  for (unsigned breaks = 0; breaks < (1U << (parts.size() - 1)); ++breaks) {
    std::vector<std::string> lines{parts[0]};
    for (std::size_t i = 1; i < parts.size(); ++i) {
      const bool ends = ((breaks >> (i - 1)) & 1U) != 0;
      if (ends) lines.push_back(parts[i]);
      if (!ends) lines.back().append(", ").append(parts[i]);
    }
    double longest_pt = 0;
    for (const std::string& line : lines) {
      longest_pt = std::max(longest_pt, Canvas::Measure(line, 0, style).width);
    }
    const bool fewer = best.empty() || lines.size() < best.size();
    const bool shorter = lines.size() == best.size() && longest_pt < best_pt;
    if (longest_pt > width_pt || !(fewer || shorter)) continue;
    best = lines;
    best_pt = longest_pt;
  }
  return best.empty() ? std::vector<std::string>{text} : best;
}

double SheetBlocks::PutText(const std::string& text, Point corner, double width, TextStyle style) {
  style.exact = true;
  const double height = Canvas::Measure(text, width, style).height;
  items_.emplace_back(PageText{text, {corner.x, corner.y, width, height}, style});
  return height;
}

double SheetBlocks::PutPhrase(const std::string& text,
                              Point corner,
                              double width,
                              TextStyle style) {
  if (!right_to_left_) return PutText(text, corner, width, style);
  style.own_direction = true;
  return PutText(std::string(kRightToLeftMark) + text, corner, width, style);
}

double SheetBlocks::PutTextWithin(const std::string& text, cv::Rect2d box, TextStyle style) {
  style.exact = true;
  // Lines of other scripts may be higher than the first one.
  for (style.max_lines = LinesIn(box, text, style); style.max_lines > 0; --style.max_lines) {
    if (Canvas::Measure(text, box.width, style).height <= box.height) {
      return PutText(text, box.tl(), box.width, style);
    }
  }
  return 0;
}

double SheetBlocks::PutTable(const SheetTable& rows, Point corner, double width) {
  constexpr std::array kShares{0.3, 0.17, 0.17, 0.36};
  constexpr double kColumnGapPt = 8;
  double y = corner.y;
  for (const auto& row : rows) {
    const TextStyle style{9.5, &row == &rows.front(), kInk, 1};
    double x = corner.x;
    double height = 0;
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (!row[i].empty()) {
        const double cell_pt = kShares[i] * width - kColumnGapPt;
        height = std::max(height, PutPhrase(row[i], {x, y}, cell_pt, style));
      }
      x += kShares[i] * width;
    }
    y += height + 2;
  }
  return y - corner.y;
}

void SheetBlocks::PutPicture(const SheetPicture& picture, cv::Rect2d box, bool badges) {
  items_.emplace_back(
      PagePicture{picture.bgr, box, true, MarksIn(picture, box, badges), badges, kMarkSizes});
}

double SheetBlocks::PutLegend(const std::vector<const Candidate*>& places,
                              Point corner,
                              double width,
                              int max_lines) {
  const double radius = kMarkSizes.badge_radius_px;
  const double indent = 2 * radius + 5;
  const std::size_t num = std::min(places.size(), kSheetMarks);
  const TextStyle style{num > 4 ? 9.5 : 10.5, false, kInk, max_lines};
  double y = 0;
  for (std::size_t i = 0; i < num; ++i) {
    const int number = static_cast<int>(i) + 1;
    items_.emplace_back(PageBadge{{corner.x + radius, corner.y + y + radius}, number, kMarkSizes});
    const double height = PutPhrase(phrases_.LegendItem(*places[i], number),
                                    {corner.x + indent, corner.y + y + 1},
                                    width - indent,
                                    style);
    y += std::max(height + 1, 2 * radius) + 3;
  }
  return y;
}

void SheetBlocks::PutBar(const ColorScale& scale_k, Point corner, double height) {
  constexpr double kWidthPt = 9;
  const TextStyle style{8.5, false, kInk, 1};
  const double x = corner.x + 5;
  items_.emplace_back(PagePicture{
      BarPixels(scale_k), {x, corner.y, kWidthPt, height}, false, {}, false, kMarkSizes});
  // The same colours on a scale in the page's unit.
  const double factor = phrases_.DegreesPerKelvin();
  const ColorScale scale(factor * scale_k.low(), factor * scale_k.high());
  const double line_pt = Canvas::Measure("0", 0, style).height;
  for (const double tick : scale.Ticks(1.1 * line_pt / height)) {
    const double y = corner.y + height * (1 - scale.Position(tick));
    items_.emplace_back(PageFill{{x + kWidthPt, y - 0.4, 3, 0.8}, kInk});
    const double text_y =
        std::clamp(y - 0.5 * line_pt, corner.y - 2, corner.y + height - line_pt + 2);
    PutText(
        phrases_.Degrees(tick), {x + kWidthPt + 5, text_y}, kBarColumnPt - kWidthPt - 10, style);
  }
}

}  // namespace ohmglow::internal
