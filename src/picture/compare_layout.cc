// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/compare_layout.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "ohmglow/version.h"
#include "picture/compare_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr double kLeastWidthPx = 1400;
constexpr double kGapShare = 0.014;  // TypeSizes::gap_px.
constexpr std::size_t kMostRegions = 8;

double CanvasWidth(cv::Size map_px) {
  return std::max(kLeastWidthPx, std::ceil(2.0 * map_px.width / (1 - 3 * kGapShare)));
}

std::string Joined(const std::vector<std::string>& sentences) {
  std::string text;
  for (const std::string& sentence : sentences) text += (text.empty() ? "" : " ") + sentence;
  return text;
}

double LayOutHeader(CompareLayout& layout, const CompareResult& result, const Words& words) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width - 2 * sizes.gap_px;
  layout.headline = {Unbroken(CompareHeadline(result, words)),
                     {sizes.gap_px, sizes.gap_px, width, 0},
                     {0.88 * sizes.headline_px, true, kInk, 2}};
  const double y = Fit(layout.headline) + 0.3 * sizes.gap_px;
  layout.sentences = {Unbroken(Joined(CompareSentences(result, words))),
                      {sizes.gap_px, y, width, 0},
                      {1.08 * sizes.card_px, false, kInk, 5}};
  return Fit(layout.sentences);
}

std::string WordsAt(const CompareResult& result,
                    const ComparedPlace& place,
                    bool before,
                    const Words& words) {
  if (!before) return ChangeWord(result, place, words);
  if (place.change == PlaceChange::kNew) return words.Get("compare.nothing");
  return place.before_w ? WattsText(*place.before_w, words) : std::string();
}

std::vector<Tag> MakeTags(const CompareResult& result,
                          const PictureMap& map,
                          cv::Rect picture,
                          bool before,
                          const TypeSizes& sizes,
                          const Words& words) {
  std::vector<Tag> tags;
  const std::size_t num = std::min(result.places.size(), kMostComparedPlaces);
  for (std::size_t i = 0; i < num; ++i) {
    const ComparedPlace& place = result.places[i];
    Tag tag;
    tag.letter = PlaceLetter(place);
    tag.words = WordsAt(result, place, before, words);
    tag.mark.rank = static_cast<int>(i) + 1;
    tag.mark.may_be_fault = place.suspect;
    tag.mark.radius_px = 1.05 * sizes.badge_radius_px;
    tag.mark.center = map.picture_from_frame.Apply(place.before_px);
    if (map.is_photo && place.photo_px) {
      tag.mark.center = {(place.photo_px->x + 0.5) * map.scale - 0.5,
                         (place.photo_px->y + 0.5) * map.scale - 0.5};
    }
    const Point p = tag.mark.center;
    tag.mark.on_picture =
        p.x >= 0 && p.y >= 0 && p.x <= picture.width - 1 && p.y <= picture.height - 1;
    tags.push_back(tag);
  }
  PlaceTags(tags, picture.size(), sizes);
  for (Tag& tag : tags) {
    tag.mark.center += Point(picture.tl());
    tag.mark.badge += Point(picture.tl());
    tag.box += Point(picture.tl());
  }
  return tags;
}

TextBlock Heading(
    const std::string& text, double x, double y, double width, const TypeSizes& sizes) {
  TextBlock block{text, {x, y, width, 0}, {1.05 * sizes.card_px, true, kInk, 1}};
  Fit(block);
  return block;
}

TextBlock TitleBehind(const TextBlock& heading, const std::string& title, const TypeSizes& sizes) {
  const double indent = Canvas::Measure(heading.text, 0, heading.style).width + 0.8 * sizes.gap_px;
  TextBlock block{CleanText(title, 100), heading.box, {0.9 * sizes.card_px, false, kSoftInk, 1}};
  block.box.x += indent;
  block.box.width -= indent;
  block.box.y += 0.13 * sizes.card_px;  // Both stand on one line.
  Fit(block);
  return block;
}

double LayOutMaps(CompareLayout& layout,
                  const CompareResult& result,
                  const ComparePictures& pictures,
                  const Words& words,
                  double y) {
  const TypeSizes& sizes = layout.sizes;
  const double slot_px = (layout.canvas_px.width - 3 * sizes.gap_px) / 2;
  const auto panel = [&](double left, bool before) {
    ComparePanel made;
    made.heading =
        Heading(words.Get(before ? "compare.before" : "compare.after"), left, y, slot_px, sizes);
    made.title = TitleBehind(made.heading, (before ? result.before : result.after).title, sizes);
    made.picture = {{static_cast<int>(left),
                     static_cast<int>(std::ceil(made.heading.box.br().y + 0.3 * sizes.gap_px))},
                    pictures.map_px};
    made.tags = MakeTags(result, pictures.map, made.picture, before, sizes, words);
    return made;
  };
  layout.before = panel(sizes.gap_px, true);
  layout.after = panel(2 * sizes.gap_px + slot_px, false);
  return layout.before.picture.br().y;
}

std::string ScaleNote(const CompareResult& result, const Words& words) {
  const std::string amps = ScaleAmps(result, words);
  std::string text = amps.empty() ? words.Get("compare.warming")
                                  : words.Fill("compare.warming_at", {{"amps", amps}});
  if (std::isfinite(result.noise_k) && result.noise_k > 0) {
    text += " " + words.Fill("compare.uncertain", {{"noise", KelvinText(result.noise_k, words)}});
  }
  return text + " " + words.Get("compare.outlines");
}

double LayOutScales(CompareLayout& layout,
                    const CompareResult& result,
                    const Words& words,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width;
  layout.length_bar = {sizes.gap_px, y, 0.3 * width - sizes.gap_px, 1.5 * sizes.card_px};
  layout.color_bar = {0.34 * width, y, 0.6 * width, 1.1 * sizes.card_px};
  y = layout.color_bar.br().y + 2.0 * sizes.card_px;
  const TextStyle style{sizes.card_px, false, kInk, 3};
  layout.with_unseen = std::any_of(
      result.after_k.begin(), result.after_k.end(), [](float v) { return !std::isfinite(v); });
  const double swatch_px = 1.2 * sizes.card_px;
  layout.scale_note = {
      Unbroken(ScaleNote(result, words)), {sizes.gap_px, y, width - 2 * sizes.gap_px, 0}, style};
  y = Fit(layout.scale_note);
  if (!layout.with_unseen) return y;
  // A line of its own: within the sentences the swatch would read as a word of them.
  y += 0.4 * sizes.gap_px;
  layout.unseen_swatch = cv::Rect(cv::Rect2d(sizes.gap_px, y, 1.6 * swatch_px, swatch_px));
  const double x = layout.unseen_swatch.br().x + 0.6 * sizes.gap_px;
  layout.unseen_note = {words.Get("compare.hatched"), {x, y, width - sizes.gap_px - x, 0}, style};
  return std::max<double>(layout.unseen_swatch.br().y, Fit(layout.unseen_note));
}

double PutCards(CompareLayout& layout, const CompareResult& result, const Words& words) {
  const std::size_t num = std::min(result.places.size(), kMostComparedPlaces);
  const std::vector<ComparedPlace> places(result.places.begin(),
                                          result.places.begin() + static_cast<std::ptrdiff_t>(num));
  const CardColumns columns =
      ColumnsBeside(layout.photo.picture, layout.canvas_px.width, num, layout.sizes);
  if (num == 0) {
    const Point corner = columns.corners.front();
    layout.texts.push_back({words.Get("compare.no_place"),
                            {corner.x, corner.y, columns.width_px, 0},
                            {1.12 * layout.sizes.card_px, false, kInk, 3}});
    return Fit(layout.texts.back());
  }
  layout.cards = LayOutCards(result, places, columns, layout.sizes, words);
  double end = 0;
  for (const CompareCard& card : layout.cards) end = std::max(end, card.box.br().y);
  return end;
}

/// Photo on the left, the places' cards beside it.
double LayOutPhoto(CompareLayout& layout,
                   const CompareResult& result,
                   const ComparePictures& pictures,
                   const Words& words,
                   double y) {
  const TypeSizes& sizes = layout.sizes;
  const double room_px = PhotoRoom(pictures.map_px, result.places.size()).width;
  const std::string text =
      words.Get(pictures.photo.is_photo ? "compare.on_board" : "compare.no_photo");
  layout.photo.heading = Heading(text, sizes.gap_px, y, room_px, sizes);
  const double top = std::ceil(layout.photo.heading.box.br().y + 0.3 * sizes.gap_px);
  layout.photo.picture = {{static_cast<int>(sizes.gap_px), static_cast<int>(top)},
                          pictures.photo_px};
  layout.photo.tags = MakeTags(result, pictures.photo, layout.photo.picture, false, sizes, words);
  return std::max<double>(PutCards(layout, result, words), layout.photo.picture.br().y);
}

/// The names of the cases, where no picture bears them.
double LayOutTitles(CompareLayout& layout,
                    const CompareResult& result,
                    const Words& words,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  const auto add = [&](const std::string& heading, const LocateResult& source) {
    const double width = layout.canvas_px.width - 2 * sizes.gap_px;
    layout.texts.push_back(Heading(heading, sizes.gap_px, y, width, sizes));
    const TextBlock title = TitleBehind(layout.texts.back(), source.title, sizes);
    y = layout.texts.back().box.br().y;
    layout.texts.push_back(title);
  };
  add(words.Get("compare.before"), result.before);
  add(words.Get("compare.after"), result.after);
  return y;
}

double LayOutTable(CompareLayout& layout,
                   const CompareResult& result,
                   const Words& words,
                   double y) {
  const TypeSizes& sizes = layout.sizes;
  const double inner_px = layout.canvas_px.width - 2 * sizes.gap_px;
  const std::vector<double> shares{0.21, 0.155, 0.17, 0.155, 0.155, 0.155};
  const auto add_row = [&](const std::vector<std::string>& cells, bool bold) {
    double x = sizes.gap_px;
    double end = y;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      TextBlock block{cells[i],
                      {x, y, shares[i] * inner_px - 0.5 * sizes.gap_px, 0},
                      {0.88 * sizes.card_px, bold, kInk, 1}};
      end = std::max(end, Fit(block));
      x += shares[i] * inner_px;
      layout.texts.push_back(block);
    }
    y = end + 0.3 * sizes.gap_px;
  };
  add_row(RegionHeads(words), true);
  const std::size_t shown = std::min(result.regions.size(), kMostRegions);
  for (std::size_t i = 0; i < shown; ++i) add_row(RegionCells(result.regions[i], words), false);
  return y;
}

double LayOutFooter(CompareLayout& layout,
                    const CompareResult& result,
                    const Words& words,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  std::vector<std::string> lines{ResistanceText(result.resistance, words),
                                 RegistrationText(result, words),
                                 CurrentText(result, words)};
  std::string last = std::string("ohmglow ") + OHMGLOW_VERSION;
  const auto add_hidden = [&](std::size_t num, std::size_t shown, std::string_view key) {
    if (num > shown) {
      last = words.Fill(key, {{"count", std::to_string(num - shown)}}) + "  \u00B7  " + last;
    }
  };
  add_hidden(result.places.size(), kMostComparedPlaces, "compare.more_places");
  add_hidden(result.regions.size(), kMostRegions, "compare.more_regions");
  lines.push_back(last);
  for (const std::string& line : lines) {
    if (line.empty()) continue;
    TextBlock block{Unbroken(line),
                    {sizes.gap_px, y, layout.canvas_px.width - 2 * sizes.gap_px, 0},
                    {0.94 * sizes.card_px, false, kSoftInk, 3}};
    y = Fit(block) + 0.3 * sizes.gap_px;
    layout.texts.push_back(block);
  }
  return y;
}

}  // namespace

cv::Size PhotoRoom(cv::Size map_px, std::size_t num_places) {
  const double width = CanvasWidth(map_px);
  const double share = num_places > kFewCards ? 0.635 : 0.48;
  return {static_cast<int>(share * width), static_cast<int>(0.56 * width)};
}

CompareLayout LayOutCompare(const CompareResult& result,
                            const ComparePictures& pictures,
                            const Words& words) {
  CompareLayout layout;
  layout.with_maps = !OnlyRegions(result);
  layout.canvas_px.width = static_cast<int>(CanvasWidth(pictures.map_px));
  layout.sizes = TypeSizes(layout.canvas_px.width);
  // Three pictures stand on this page: less width for each than a page of one.
  layout.sizes.badge_radius_px *= 0.8;
  layout.sizes.numeral_px *= 0.8;
  layout.sizes.line_px *= 0.8;
  const double gap_px = layout.sizes.gap_px;
  double y = LayOutHeader(layout, result, words) + gap_px;
  if (layout.with_maps) {
    y = LayOutMaps(layout, result, pictures, words, y) + 0.8 * gap_px;
    y = LayOutScales(layout, result, words, y) + 1.2 * gap_px;
    y = LayOutPhoto(layout, result, pictures, words, y) + 1.2 * gap_px;
  }
  if (!layout.with_maps) y = LayOutTitles(layout, result, words, y) + 0.8 * gap_px;
  if (!result.regions.empty()) y = LayOutTable(layout, result, words, y) + 0.8 * gap_px;
  y = LayOutFooter(layout, result, words, y);
  layout.canvas_px.height = static_cast<int>(std::ceil(y + 0.7 * gap_px));
  return layout;
}

}  // namespace ohmglow::internal
