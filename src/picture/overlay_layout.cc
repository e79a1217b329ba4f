// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/overlay_layout.h"

#include <algorithm>
#include <cmath>

#include "picture/text.h"
#include "picture/words.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kMostCardsBelow = 3;
constexpr double kLegendShare = 0.56;  // Legend width beside the picture, of the picture's.
constexpr double kLeastLegendPx = 560;
constexpr double kBesideCards = 0.84;  // Legend text beside the picture, of that below it.

std::vector<std::string> CardLines(const LocateResult& result, const Mark& mark) {
  const Candidate& candidate = result.candidates[static_cast<std::size_t>(mark.rank - 1)];
  std::vector<std::string> lines{PlaceName(candidate)};
  if (result.verdict == Verdict::kNone) lines.emplace_back(kNoFaultWords);
  lines.push_back(PowerText(candidate));
  if (result.verdict == Verdict::kNone) {
    lines.emplace_back(SideWords(candidate.side));
  } else {
    lines.push_back(ConfidenceText(candidate.confidence) + "; " +
                    std::string(SideWords(candidate.side)));
  }
  if (!mark.on_picture) lines.emplace_back("outside this picture");
  return lines;
}

Card MakeCard(const LocateResult& result,
              const Mark& mark,
              double width_px,
              const TypeSizes& sizes) {
  Card card;
  card.rank = mark.rank;
  card.may_be_fault = mark.may_be_fault;
  card.lines = CardLines(result, mark);
  const double indent_px = 2 * sizes.badge_radius_px + 0.7 * sizes.gap_px;
  card.text.width = width_px - indent_px;
  card.text.x = indent_px;
  for (std::size_t i = 0; i < card.lines.size(); ++i) {
    card.text.height +=
        Canvas::Measure(card.lines[i], card.text.width, CardStyle(sizes, card.may_be_fault, i))
            .height;
  }
  card.box.width = width_px;
  card.box.height = std::max(card.text.height, 2 * sizes.badge_radius_px);
  card.badge = {sizes.badge_radius_px, sizes.badge_radius_px};
  return card;
}

void MoveTo(Card& card, Point corner) {
  card.box += corner;
  card.text += corner;
  card.badge += corner;
}

// The corner of each legend place beside the picture: evenly spread over the
// picture's height where there is room, one below the other where not.
std::vector<Point> CornersBeside(const OverlayLayout& layout, double x, double slot_px) {
  const auto num = static_cast<double>(layout.cards.size());
  const double pitch = std::max(slot_px, std::min(layout.picture.height / num, 2.0 * slot_px));
  const double free_px = std::max(0.0, layout.picture.height - pitch * num);
  std::vector<Point> corners;
  for (std::size_t i = 0; i < layout.cards.size(); ++i) {
    corners.emplace_back(
        x, layout.picture.y + free_px / 2 + (pitch - slot_px) / 2 + pitch * static_cast<double>(i));
  }
  return corners;
}

// Below the picture, by rank: each as near under its mark as the others allow.
std::vector<Point> CornersBelow(const OverlayLayout& layout, double card_width_px, double y) {
  const TypeSizes& sizes = layout.sizes;
  const double pitch = card_width_px + 2 * sizes.gap_px;
  std::vector<double> lefts;
  for (const Mark& mark : layout.marks) {
    lefts.push_back(mark.on_picture ? mark.badge.x - sizes.badge_radius_px
                                    : layout.canvas_px.width);
  }
  // Push apart to the right, then back from the right margin.
  double least = sizes.gap_px;
  for (double& left : lefts) {
    left = std::max(left, least);
    least = left + pitch;
  }
  double most = layout.canvas_px.width - sizes.gap_px - card_width_px;
  for (auto left = lefts.rbegin(); left != lefts.rend(); ++left) {
    *left = std::min(*left, most);
    most = *left - pitch;
  }
  std::vector<Point> corners;
  for (const double left : lefts) corners.emplace_back(left, y);
  return corners;
}

void LayOutHeader(OverlayLayout& layout, double width_px) {
  const TypeSizes& sizes = layout.sizes;
  const double inner_px = width_px - 2 * sizes.gap_px;
  layout.headline = {sizes.gap_px, sizes.gap_px, inner_px, 0};
  layout.headline.height =
      Canvas::Measure(layout.headline_text, inner_px, HeadlineStyle(sizes)).height;
  layout.detail = {sizes.gap_px, layout.headline.br().y + 0.2 * sizes.gap_px, inner_px, 0};
  if (layout.detail_text.empty()) return;
  layout.detail.height = Canvas::Measure(layout.detail_text, inner_px, DetailStyle(sizes)).height;
}

double SlotHeight(const OverlayLayout& layout) {
  double height = 0;
  for (const Card& card : layout.cards) height = std::max(height, card.box.height);
  return height;
}

// Places the legend; returns the lower end of picture and legend together.
double LayOutLegend(OverlayLayout& layout,
                    const LocateResult& result,
                    cv::Size picture_size_px,
                    const PictureDetail& detail) {
  const TypeSizes& sizes = layout.sizes;
  const double picture_end = layout.picture.y + layout.picture.height;
  if (layout.marks.empty()) return picture_end;
  const auto num_slots = static_cast<double>(kMostCardsBelow);
  const double lead_px = 3 * sizes.gap_px;  // Room for the leaders to fan out.
  const double card_width_px =
      layout.legend_below
          ? (layout.canvas_px.width - 2 * sizes.gap_px - 2 * sizes.gap_px * (num_slots - 1)) /
                num_slots
          : layout.canvas_px.width - picture_size_px.width - lead_px - sizes.gap_px;
  for (const Mark& mark : layout.marks) {
    layout.cards.push_back(MakeCard(result, mark, card_width_px, sizes));
  }
  const double slot_px = SlotHeight(layout) + (layout.legend_below ? 0 : 0.5 * sizes.gap_px);
  const std::vector<Point> corners =
      layout.legend_below ? CornersBelow(layout, card_width_px, picture_end + lead_px)
                          : CornersBeside(layout, picture_size_px.width + lead_px, slot_px);
  const Point to_rim =
      layout.legend_below ? Point(0, -sizes.badge_radius_px) : Point(-sizes.badge_radius_px, 0);
  std::vector<Point> ports;
  for (const Point& corner : corners) ports.push_back(corner + layout.cards[0].badge + to_rim);
  layout.leaders = RouteLeaders(layout.marks, ports, layout.picture, sizes, detail);
  double end = picture_end;
  for (std::size_t i = 0; i < layout.cards.size(); ++i) {
    MoveTo(layout.cards[i], corners[i]);
    end = std::max(end, layout.cards[i].box.br().y);
  }
  return end;
}

}  // namespace

TextStyle HeadlineStyle(const TypeSizes& sizes) { return {sizes.headline_px, true, kInk, 2}; }

TextStyle DetailStyle(const TypeSizes& sizes) { return {sizes.detail_px, false, kInk, 2}; }

TextStyle CardStyle(const TypeSizes& sizes, bool may_be_fault, std::size_t index) {
  return {index == 0 ? 1.15 * sizes.card_px : sizes.card_px,
          index == 0,
          may_be_fault ? kInk : kSoftInk,
          2};
}

OverlayLayout LayOutOverlay(const LocateResult& result,
                            const PictureMap& map,
                            cv::Size picture_size_px,
                            const PictureDetail& detail) {
  OverlayLayout layout;
  const std::size_t num = std::min(result.candidates.size(), kMaxMarks);
  layout.legend_below = num <= kMostCardsBelow && picture_size_px.width >= picture_size_px.height;
  double width_px = picture_size_px.width;
  if (num > 0 && !layout.legend_below) {
    width_px += std::max(kLegendShare * picture_size_px.width, kLeastLegendPx);
  }
  layout.canvas_px.width = static_cast<int>(std::lround(width_px));
  layout.sizes = TypeSizes(width_px);
  if (!layout.legend_below) layout.sizes.card_px *= kBesideCards;
  const TypeSizes& sizes = layout.sizes;
  layout.headline_text = VerdictText(result);
  layout.detail_text = VerdictDetail(result);
  if (result.values == FrameValues::kRelative) {
    layout.detail_text = RelativeWords() + " " + layout.detail_text;
  }
  LayOutHeader(layout, width_px);

  layout.picture = {{0, static_cast<int>(std::ceil(layout.detail.br().y + sizes.gap_px))},
                    picture_size_px};
  layout.marks = MakeMarks(result, map, picture_size_px, sizes);
  PlaceBadges(layout.marks,
              picture_size_px,
              layout.legend_below ? Point(0, 1) : Point(1, 0),
              sizes,
              detail);
  for (Mark& mark : layout.marks) {
    mark.center += Point(layout.picture.tl());
    mark.badge += Point(layout.picture.tl());
  }
  const double end = LayOutLegend(layout, result, picture_size_px, detail);
  layout.footer = {
      sizes.gap_px, end + sizes.gap_px, width_px - 2 * sizes.gap_px, 1.5 * sizes.card_px};
  layout.canvas_px.height = static_cast<int>(std::ceil(layout.footer.br().y + sizes.gap_px));
  return layout;
}

}  // namespace ohmglow::internal
