// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/overlay_layout.h"

#include <algorithm>
#include <cmath>

#include "ohmglow/words/say.h"
#include "picture/answer_words.h"
#include "picture/backdrop.h"
#include "words/numbers.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kMostCardsBelow = 3;
constexpr double kLegendShare = 0.56;  // Legend width beside the picture, of the picture's.
constexpr double kLeastLegendPx = 560;
constexpr double kBesideCards = 0.84;  // Legend text beside the picture, of that below it.
constexpr double kCloseUpShare = 0.3;  // Of the canvas, below the picture.
constexpr double kBarShare = 0.2;      // Of the picture's width, at most.

// What all steps of the layout look into.
struct Source {
  const LocateResult& result;
  const PictureMap& map;
  const std::vector<Part>& parts;
  const PictureDetail& detail;
  const Words& words;
};

std::vector<std::string> CardLines(const LocateResult& result,
                                   const Mark& mark,
                                   bool enlarged,
                                   const Words& words) {
  const Candidate& candidate = result.candidates[static_cast<std::size_t>(mark.rank - 1)];
  std::vector<std::string> lines{PlaceName(candidate, words)};
  if (result.verdict == Verdict::kNone) lines.push_back(words.Get("no_fault"));
  lines.push_back(PowerText(candidate, words));
  if (result.verdict == Verdict::kNone) {
    lines.push_back(SideWords(candidate.side, words));
  } else {
    lines.push_back(ConfidenceText(candidate.confidence, words) + "; " +
                    SideWords(candidate.side, words));
  }
  if (const std::string parts = PartsText(candidate, words); mark.may_be_fault && !parts.empty()) {
    lines.push_back(words.Fill("overlay.parts", {{"parts", parts}}));
  }
  if (!mark.on_picture) {
    lines.push_back(words.Get("overlay.outside"));
  } else if (mark.hidden_by != 0) {
    lines.push_back(words.Fill("overlay.hidden", {{"place", std::to_string(mark.hidden_by)}}));
  } else if (mark.may_be_fault && !enlarged && IsDrawnSmaller(mark)) {
    lines.push_back(words.Get("overlay.drawn_smaller"));
  }
  return lines;
}

Card MakeCard(const Source& source,
              const Mark& mark,
              bool enlarged,
              double width_px,
              const TypeSizes& sizes) {
  Card card;
  card.rank = mark.rank;
  card.may_be_fault = mark.may_be_fault;
  card.lines = CardLines(source.result, mark, enlarged, source.words);
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

// One below the other.
void Stack(std::vector<Card>& cards, Point corner, double gap_px) {
  for (Card& card : cards) {
    const Point at = corner;
    corner.y += card.box.height + gap_px;
    MoveTo(card, at);
  }
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

// Side by side from a corner on, equally wide; returns the right end.
double LayOutCloseUps(OverlayLayout& layout,
                      const Source& source,
                      const std::vector<Mark>& worth,
                      Point corner,
                      double side_px) {
  for (const Mark& mark : worth) {
    const int side = cvRound(side_px);
    layout.close_ups.push_back(LayOutCloseUp(source.result,
                                             source.map,
                                             layout.picture.size(),
                                             mark,
                                             {cvRound(corner.x), cvRound(corner.y), side, side},
                                             source.parts,
                                             source.detail,
                                             layout.sizes,
                                             source.words));
    corner.x += side + layout.sizes.gap_px;
  }
  return corner.x;
}

void MakeCards(OverlayLayout& layout, const Source& source, double width_px) {
  for (const Mark& mark : layout.marks) {
    const bool enlarged = std::any_of(layout.close_ups.begin(),
                                      layout.close_ups.end(),
                                      [&](const CloseUp& one) { return one.rank == mark.rank; });
    layout.cards.push_back(MakeCard(source, mark, enlarged, width_px, layout.sizes));
  }
}

double LowerEnd(const OverlayLayout& layout) {
  double end = layout.picture.br().y;
  for (const Card& card : layout.cards) end = std::max(end, card.box.br().y);
  for (const CloseUp& one : layout.close_ups) {
    end = std::max(end, one.box.br().y + CaptionHeight(one, layout.sizes));
  }
  return end;
}

// Close-ups at the left, entries below one another beside them; without
// close-ups the entries stand side by side.
void LayOutBelow(OverlayLayout& layout, const Source& source, const std::vector<Mark>& worth) {
  const TypeSizes& sizes = layout.sizes;
  const Point corner(sizes.gap_px, layout.picture.br().y + 1.2 * sizes.gap_px);
  const double width_px = layout.canvas_px.width;
  if (worth.empty()) {
    const auto num = static_cast<double>(kMostCardsBelow);
    const double card_px = (width_px - 2 * sizes.gap_px * num) / num;
    MakeCards(layout, source, card_px);
    Point at = corner;
    for (Card& card : layout.cards) {
      MoveTo(card, at);
      at.x += card_px + 2 * sizes.gap_px;
    }
    return;
  }
  const double x = LayOutCloseUps(layout, source, worth, corner, kCloseUpShare * width_px);
  MakeCards(layout, source, width_px - x - 2 * sizes.gap_px);
  Stack(layout.cards, {x + sizes.gap_px, corner.y}, 1.2 * sizes.gap_px);
}

// In a column at the right: close-ups on top, entries under them.
void LayOutBeside(OverlayLayout& layout, const Source& source, const std::vector<Mark>& worth) {
  const TypeSizes& sizes = layout.sizes;
  Point corner(layout.picture.br().x + 2 * sizes.gap_px, layout.picture.y);
  const double width_px = layout.canvas_px.width - corner.x - sizes.gap_px;
  if (!worth.empty()) {
    LayOutCloseUps(layout, source, worth, corner, 0.5 * (width_px - sizes.gap_px));
    for (const CloseUp& one : layout.close_ups) {
      corner.y = std::max(corner.y, one.box.br().y + CaptionHeight(one, sizes) + sizes.gap_px);
    }
  }
  MakeCards(layout, source, width_px);
  Stack(layout.cards, corner, sizes.gap_px);
}

// Bar of length and outline with its word: what lies on the picture and leaves the marks free.
void LayOutOnPicture(OverlayLayout& layout, const Source& source) {
  const TypeSizes& sizes = layout.sizes;
  const cv::Size size = layout.picture.size();
  std::vector<cv::Rect2d> taken = BoxesOf(layout.marks, sizes);
  if (const auto px_per_mm = PixelsPerMillimetre(source.result, source.map, size)) {
    const LengthBar bar = MakeLengthBar(*px_per_mm, kBarShare * size.width, sizes, source.words);
    layout.bar = PutBar(bar, {{0, 0}, cv::Size2d(size)}, taken, sizes, source.detail);
    if (layout.bar) {
      const Point air(0.3 * sizes.gap_px, 0.3 * sizes.gap_px);
      taken.emplace_back(layout.bar->paper.tl() - air, layout.bar->paper.br() + air);
    }
  }
  const cv::Size frame_px = source.result.reference_k.empty() ? source.result.frame_size_px
                                                              : source.result.reference_k.size();
  layout.filmed = MakeFilmedArea(frame_px, source.map, size, source.words.Get("overlay.filmed"));
  if (layout.filmed) PlaceLabel(*layout.filmed, size, taken, sizes, source.detail);
}

// From the picture's pixels to the canvas's.
void MoveOntoCanvas(OverlayLayout& layout) {
  const Point corner(layout.picture.tl());
  for (Mark& mark : layout.marks) {
    mark.center += corner;
    mark.badge += corner;
  }
  if (layout.bar) layout.bar->paper += corner;
  if (!layout.filmed) return;
  for (Point& p : layout.filmed->outline) p += corner;
  layout.filmed->label += corner;
}

// What the greys of the frames' own picture mean; empty for a photo.
std::string GreysText(const Source& source) {
  const auto range = StaticRange(source.result);
  if (source.map.is_photo || !range) return {};
  if (source.result.values == FrameValues::kRelative) return source.words.Get("overlay.grey_plain");
  constexpr double kZeroCelsiusK = 273.15;
  const auto celsius = [&](float kelvin) {
    const double rounded = std::round(10 * (static_cast<double>(kelvin) - kZeroCelsiusK)) / 10;
    return DigitsText(rounded, 12, source.words) + " \u00B0C";
  };
  return source.words.Fill("overlay.grey",
                           {{"low", celsius(range->low)}, {"high", celsius(range->high)}});
}

void SetTexts(OverlayLayout& layout, const LocateResult& result, const Words& words) {
  layout.headline_text = VerdictText(result, words);
  layout.detail_text = VerdictDetail(result, words);
  if (result.values == FrameValues::kRelative) {
    layout.detail_text = words.Get("answer.relative") + " " + layout.detail_text;
  }
  if (!result.currents_known) {
    const Remark other = StepsRemark(result);  // In short: there is room for two lines.
    layout.detail_text += (layout.detail_text.empty() ? "" : " ") +
                          (other.empty() ? StepsText(result, words) : SayInShort(other, words));
  }
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
                            const std::vector<Part>& parts,
                            const PictureDetail& detail,
                            const Words& words) {
  const Source source{result, map, parts, detail, words};
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
  SetTexts(layout, result, words);
  LayOutHeader(layout, width_px);

  layout.picture = {{0, static_cast<int>(std::ceil(layout.detail.br().y + sizes.gap_px))},
                    picture_size_px};
  layout.marks = MakeMarks(result, map, picture_size_px, sizes);
  const std::vector<Mark> worth = WorthEnlarging(layout.marks, picture_size_px);
  PlaceBadges(layout.marks, picture_size_px, {0.7, 0.7}, sizes, detail);
  LayOutOnPicture(layout, source);
  MoveOntoCanvas(layout);
  if (layout.legend_below) {
    LayOutBelow(layout, source, worth);
  } else if (num > 0) {
    LayOutBeside(layout, source, worth);
  }
  const double inner_px = width_px - 2 * sizes.gap_px;
  layout.key_box = {sizes.gap_px, LowerEnd(layout) + sizes.gap_px, inner_px, 0};
  layout.key =
      LayOutKey(layout.marks, layout.close_ups, GreysText(source), layout.key_box, sizes, words);
  const double key_gap = layout.key.empty() ? 0 : 0.5 * sizes.gap_px;
  layout.footer = {sizes.gap_px, layout.key_box.br().y + key_gap, inner_px, 1.5 * sizes.card_px};
  layout.canvas_px.height = static_cast<int>(std::ceil(layout.footer.br().y + sizes.gap_px));
  return layout;
}

}  // namespace ohmglow::internal
