// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/compare_cards.h"

#include <algorithm>

#include "picture/answer_words.h"
#include "picture/compare_words.h"

namespace ohmglow::internal {
namespace {

constexpr double kManyCards = 0.86;       // Their type, of that of a few.
constexpr double kWidePhoto = 0.5;        // From here, of the canvas, cards also stand below it.
constexpr double kLeastPhotoShare = 0.3;  // Cards keep off the page's left side.

// A bracket with its numbers stays on one line.
std::string Bracketed(std::string text) {
  const std::size_t open = text.find('(');
  if (open == std::string::npos) return text;
  for (std::size_t i = open; i < text.size() && text[i] != ')'; ++i) {
    if (text[i] == ' ') text.replace(i, 1, "\u00A0");
  }
  return text;
}

std::vector<std::string> CardLines(const CompareResult& result,
                                   const ComparedPlace& place,
                                   const Words& words) {
  // Isolated, and the line told to run to the right: a name in another script
  // must not turn the words behind it round.
  std::vector<std::string> lines{"\u200E\u2068" + ComparedPlaceName(result, place, words) +
                                 "\u2069: " + ChangeWord(result, place, words)};
  if (place.change != PlaceChange::kUnknown) {
    lines.push_back(ConfidenceText(place.change_prob, words));
  }
  lines.push_back(
      Bracketed(words.Fill("compare.card_before", {{"power", BeforePower(place, words)}})));
  lines.push_back(
      Bracketed(words.Fill("compare.card_now", {{"power", AfterPower(result, place, words)}})));
  if (const std::string ratio = RatioText(place, words); !ratio.empty()) lines.push_back(ratio);
  return lines;
}

CompareCard MakeCard(const CompareResult& result,
                     const ComparedPlace& place,
                     double width_px,
                     double type_px,
                     const TypeSizes& sizes,
                     const Words& words) {
  CompareCard card;
  card.letter = PlaceLetter(place);
  card.suspect = place.suspect;
  const double indent = 2 * sizes.badge_radius_px + 0.7 * sizes.gap_px;
  const Color color = place.suspect ? kInk : kSoftInk;
  double y = 0;
  for (const std::string& line : CardLines(result, place, words)) {
    const bool is_name = card.lines.empty();
    TextBlock block{Unbroken(line),
                    {indent, y, width_px - indent, 0},
                    {is_name ? 1.12 * type_px : type_px, is_name, color, 2}};
    y = Fit(block);
    card.lines.push_back(block);
  }
  card.box = {0, 0, width_px, std::max(y, 2 * sizes.badge_radius_px)};
  card.disc = {sizes.badge_radius_px, sizes.badge_radius_px};
  return card;
}

void MoveTo(CompareCard& card, Point corner) {
  const Point by = corner - Point(card.box.tl());
  card.box += by;
  card.disc += by;
  for (TextBlock& line : card.lines) line.box += by;
}

/// Fills the columns one after the other down to `limit`; false where a card is left over.
bool Flow(std::vector<CompareCard>& cards,
          const std::vector<Point>& corners,
          double gap_px,
          double limit) {
  std::size_t next = 0;
  for (Point corner : corners) {
    while (next < cards.size() && corner.y + cards[next].box.height <= limit) {
      MoveTo(cards[next], corner);
      corner.y += cards[next++].box.height + gap_px;
    }
  }
  return next == cards.size();
}

}  // namespace

CardColumns ColumnsBeside(cv::Rect photo,
                          double canvas_px,
                          std::size_t num_cards,
                          const TypeSizes& sizes) {
  const double gap_px = sizes.gap_px;
  const double top = photo.y;
  if (num_cards > kFewCards && photo.width > kWidePhoto * canvas_px) {
    const double width_px = (canvas_px - 4 * gap_px) / 3;
    const double step = width_px + gap_px;
    const double below = photo.br().y + 1.5 * gap_px;
    return {{{gap_px + 2 * step, top}, {gap_px, below}, {gap_px + step, below}}, width_px};
  }
  const double x = std::max<double>(photo.br().x, kLeastPhotoShare * canvas_px) + 2 * gap_px;
  const double room_px = canvas_px - gap_px - x;
  if (num_cards <= kFewCards) return {{{x, top}}, room_px};
  const double width_px = (room_px - gap_px) / 2;
  return {{{x, top}, {x + width_px + gap_px, top}}, width_px};
}

std::vector<CompareCard> LayOutCards(const CompareResult& result,
                                     const std::vector<ComparedPlace>& places,
                                     const CardColumns& columns,
                                     const TypeSizes& sizes,
                                     const Words& words) {
  std::vector<CompareCard> cards;
  cards.reserve(places.size());
  const double type_px = sizes.card_px * (places.size() > kFewCards ? kManyCards : 1.0);
  for (const ComparedPlace& place : places) {
    cards.push_back(MakeCard(result, place, columns.width_px, type_px, sizes, words));
  }
  double limit = columns.corners.front().y;
  while (!Flow(cards, columns.corners, sizes.gap_px, limit)) limit += 0.5 * sizes.gap_px;
  return cards;
}

}  // namespace ohmglow::internal
