// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sheet/sheet_layout.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "ohmglow/version.h"
#include "sheet/sheet_blocks.h"
#include "sheet/sheet_phrases.h"
#include "sheet/sheet_regions.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr double kMarginPt = 40;
constexpr double kGapPt = 12;
constexpr double kParagraphGapPt = 2;
constexpr double kNotesRoomPt = 70;  // What a heading and some lines take.
constexpr double kHeadingPt = 16;
const TextStyle kHeading{10, true, kStrong, 1};

constexpr std::size_t kTitleChars = 300;
constexpr std::size_t kContactChars = 120;
constexpr std::size_t kNoteChars = 4000;
constexpr std::size_t kNoteParagraphs = 60;

// How much room pictures and notes get; tried in order until all of it fits.
struct Plan {
  double picture_scale;
  double notes_pt;
};
constexpr double kLeastForNotes = 0.7;  // Pictures do not shrink below this for notes.
constexpr std::array<Plan, 17> kPlans{{{1.25, 11.5},
                                       {1.15, 11.5},
                                       {1.05, 11.5},
                                       {1.0, 11.5},
                                       {0.95, 11.5},
                                       {0.9, 11},
                                       {0.85, 11},
                                       {0.85, 10.5},
                                       {0.8, 10},
                                       {0.75, 9.5},
                                       {0.7, 9.5},
                                       {0.65, 9},
                                       {0.55, 9},
                                       {0.48, 9},
                                       {0.42, 9},
                                       {0.36, 9},
                                       {0.27, 9}}};

cv::Size2d SizeOf(Paper paper) {
  // ISO 216 A4, 210 mm x 297 mm; ANSI/ASME Y14.1 A, 8.5 in x 11 in.
  return paper == Paper::kA4 ? cv::Size2d(595.276, 841.890) : cv::Size2d(612, 792);
}

std::vector<std::string> NoteParagraphs(const std::string& notes) {
  std::vector<std::string> paragraphs;
  std::size_t left = kNoteChars;
  for (std::size_t pos = 0;
       pos < notes.size() && paragraphs.size() < kNoteParagraphs && left > 1;) {
    const std::size_t end = std::min(notes.find('\n', pos), notes.size());
    // Four bytes a code point at most; what is longer is cut in any case.
    const std::string_view raw = std::string_view(notes).substr(pos, end - pos);
    const std::string line = CleanText(raw.substr(0, 8 * kNoteChars), left);
    pos = end + 1;
    if (line.empty()) continue;
    left -= std::min(left, line.size());
    paragraphs.push_back(line);
  }
  return paragraphs;
}

bool NotesAreLonger(const std::string& notes) {
  std::size_t size = 0;
  for (const std::string& line : NoteParagraphs(notes)) size += line.size();
  return size + 1 >= kNoteChars;
}

class Composer {
 public:
  Composer(const SheetContent& content, const SheetPictures& pictures, Plan plan)
      : content_(content),
        pictures_(pictures),
        phrases_(content),
        plan_(plan),
        notes_(NoteParagraphs(content.notes)),
        blocks_(page_.items, phrases_, content.words.RightToLeft()) {
    page_.size_pt = SizeOf(content.paper);
    width_ = page_.size_pt.width - 2 * kMarginPt;
    y_ = kMarginPt;
  }

  SheetPage Compose() {
    const double footer_pt = FooterHeight();
    bottom_ = page_.size_pt.height - kMarginPt - footer_pt - kGapPt;
    PutHeader();
    PutTitle();
    PutFinding();
    PutPhoto();
    pictures_.repair_scale ? PutRepair() : PutHeat();
    if (content_.repair && content_.repair->only_regions) PutRegions();
    const double notes_pt = notes_.empty() ? -kGapPt : kHeadingPt + NotesHeight();
    pictures_fit_ = y_ + std::min(notes_pt, kNotesRoomPt) <= bottom_;
    PutNotes();
    PutFooter(page_.size_pt.height - kMarginPt - footer_pt);
    return page_;
  }

  [[nodiscard]] bool pictures_fit() const { return pictures_fit_; }

 private:
  void PutHeader();
  void PutTitle();
  void PutFinding();
  void PutPhoto();
  void PutHeat();
  void PutRepair();
  void PutRegions();
  void PutNotes();
  void PutFooter(double y);
  [[nodiscard]] TextStyle NotesStyle() const;
  [[nodiscard]] double NotesHeight() const;
  [[nodiscard]] double HeightOf(const std::string& text, TextStyle style) const;
  [[nodiscard]] double FooterHeight() const;
  [[nodiscard]] std::vector<std::string> Contact(double width_pt, const TextStyle& style) const;
  [[nodiscard]] double PictureWidth() const {
    return std::min(0.64, 0.56 * plan_.picture_scale) * width_;
  }
  [[nodiscard]] cv::Size2d PhotoSize() const;
  [[nodiscard]] cv::Size2d HeatSize() const;
  [[nodiscard]] double ColumnX() const;
  // Only odd texts get this far; then names and sentences take less room, too.
  [[nodiscard]] bool IsTight() const { return plan_.picture_scale < 0.6; }
  [[nodiscard]] int LegendLines() const {
    return plan_.picture_scale < 0.4 ? 1 : IsTight() ? 2 : 6;
  }
  [[nodiscard]] std::string BoardCaption(std::size_t num_shown) const;

  const SheetContent& content_;
  const SheetPictures& pictures_;
  const SheetPhrases phrases_;
  const Plan plan_;
  const std::vector<std::string> notes_;
  SheetPage page_;
  SheetBlocks blocks_;
  double width_ = 0;
  double y_ = 0;
  double bottom_ = 0;
  bool pictures_fit_ = false;
};

std::vector<std::string> Composer::Contact(double width_pt, const TextStyle& style) const {
  const Shop& shop = content_.shop;
  std::vector<std::string> lines =
      BreakAtCommas(CleanText(shop.address, kContactChars), width_pt, style);
  const std::string phone = CleanText(shop.phone, kContactChars);
  if (!phone.empty()) {
    lines.push_back(content_.words.Fill("contact.phone", {{"value", phone}}));
  }
  lines.push_back(CleanText(shop.mail, kContactChars));
  lines.push_back(CleanText(shop.web, kContactChars));
  std::erase(lines, std::string());
  return lines;
}

void Composer::PutHeader() {
  constexpr double kLogoHeightPt = 44;
  constexpr double kContactPt = 190;
  const std::string name = CleanText(content_.shop.name, kContactChars);
  TextStyle style{9, false, kSoftInk, 1, TextAlign::kEnd, false};
  style.exact = true;
  const std::vector<std::string> contact = Contact(kContactPt, style);
  if (pictures_.logo.empty() && name.empty() && contact.empty()) return;
  double x = kMarginPt;
  double height = 0;
  if (!pictures_.logo.empty()) {
    const cv::Size2d size = FitInto(pictures_.logo.size(), {130, kLogoHeightPt});
    page_.items.emplace_back(PagePicture{pictures_.logo, {{x, y_}, size}, false, {}, true});
    x += size.width + kGapPt;
    height = size.height;
  }
  const double contact_x = kMarginPt + width_ - kContactPt;
  if (!name.empty()) {
    const TextStyle large{15, true, kInk, 2, TextAlign::kStart, true};
    height = std::max(height, blocks_.PutText(name, {x, y_}, contact_x - kGapPt - x, large));
  }
  // A little lower than the name, which is read first; readers of the PDF that guess the
  // order from the places keep both together.
  const double contact_y = y_ + 2;
  double line_y = contact_y;
  for (const std::string& line : contact) {
    // The address, which comes first, may have a part that takes more than one line.
    style.max_lines = line_y == contact_y ? 3 : 1;
    line_y += blocks_.PutText(line, {contact_x, line_y}, kContactPt, style);
  }
  y_ += std::max(height, line_y - y_) + 0.7 * kGapPt;
  page_.items.emplace_back(PageFill{{kMarginPt, y_, width_, 1.2}, kInk});
  y_ += kGapPt;
}

void Composer::PutTitle() {
  const double date_pt = 130;
  const TextStyle small{10, false, kSoftInk, 1};
  TextStyle date_style = small;
  date_style.align = TextAlign::kEnd;
  const std::string date = phrases_.Date();
  const double height = blocks_.PutPhrase(
      content_.words.Get("heading.page"), {kMarginPt, y_}, width_ - date_pt - kGapPt, small);
  blocks_.PutPhrase(date, {kMarginPt + width_ - date_pt, y_}, date_pt, date_style);
  y_ += height + 2;
  const std::string title = CleanText(content_.result.title, kTitleChars);
  if (!title.empty()) {
    const TextStyle style{19, true, kInk, IsTight() ? 1 : 2, TextAlign::kStart, true};
    y_ += blocks_.PutText(title, {kMarginPt, y_}, width_, style);
    TextStyle all = style;
    all.max_lines = 1000;
    page_.title_fits = title == CleanText(content_.result.title, kTitleChars + 1) &&
                       HeightOf(title, all) <= HeightOf(title, style);
  }
  y_ += 0.8 * kGapPt;
}

void Composer::PutFinding() {
  constexpr double kPadPt = 11;
  constexpr double kBarPt = 4;
  const double x = kMarginPt + kBarPt + kPadPt;
  const double inner_pt = width_ - kBarPt - 2 * kPadPt;
  const std::size_t fill_index = page_.items.size();
  page_.items.emplace_back(PageFill{});
  page_.items.emplace_back(PageFill{});
  const double top = y_;
  y_ += kPadPt - 2;
  const bool outcome = phrases_.HasOutcome();
  y_ += blocks_.PutPhrase(content_.words.Get(outcome ? "heading.outcome" : "heading.found"),
                          {x, y_},
                          inner_pt,
                          kHeading);
  const TextStyle first{IsTight() ? 12.5 : 15, true, kInk, 4};
  const TextStyle second{IsTight() ? 10.5 : 12.5, false, kInk, 4};
  const auto put = [&](const std::string& text, const TextStyle& style) {
    if (!text.empty()) y_ += 3 + blocks_.PutPhrase(text, {x, y_ + 3}, inner_pt, style);
  };
  if (outcome) put(phrases_.RepairFinding(), first);
  put(phrases_.Resistance(), second);
  put(phrases_.Finding(), outcome ? second : first);
  put(phrases_.Detail(), second);
  put(phrases_.NotInView(), second);
  put(phrases_.Caution(), {10.5, false, kInk, 4});
  y_ += kPadPt;
  page_.items[fill_index] = PageFill{{kMarginPt, top, width_, y_ - top}, kWeak};
  page_.items[fill_index + 1] = PageFill{{kMarginPt, top, kBarPt, y_ - top}, kStrong};
  y_ += kGapPt;
}

std::string Composer::BoardCaption(std::size_t num_shown) const {
  if (!pictures_.board_is_photo) return content_.words.Get("caption.thermal");
  return content_.words.Get(num_shown == 0   ? "caption.photo_none"
                            : num_shown == 1 ? "caption.photo_one"
                                             : "caption.photo_many");
}

cv::Size2d Composer::PhotoSize() const {
  // Where both show the same, a place is found at the same spot.
  if (pictures_.heat_as_photo && HeatSize().width > 0) return HeatSize();
  return FitInto(pictures_.board.bgr.size(), {PictureWidth(), 225 * plan_.picture_scale});
}

cv::Size2d Composer::HeatSize() const {
  if (pictures_.repair_scale) return {};  // The pair holds it.
  const double most_pt = (pictures_.heat_as_photo ? 205 : 180) * plan_.picture_scale;
  return FitInto(pictures_.heat.bgr.size(), {PictureWidth() - kBarColumnPt, most_pt});
}

// Where the texts beside the large pictures start.
double Composer::ColumnX() const {
  const double heat_pt = HeatSize().width > 0 ? HeatSize().width + kBarColumnPt : 0;
  return kMarginPt + std::max({PhotoSize().width, heat_pt, 0.3 * width_}) + 1.2 * kGapPt;
}

void Composer::PutPhoto() {
  const cv::Size2d photo_pt = PhotoSize();
  if (photo_pt.width <= 0) return;
  const double column_x = ColumnX();
  const double column_pt = kMarginPt + width_ - column_x;
  const auto places = SheetPhrases::Shown(content_.result);
  blocks_.PutPicture(pictures_.board, {{kMarginPt, y_}, photo_pt}, true);
  double text_y = y_;
  text_y += blocks_.PutPhrase(
      BoardCaption(places.size()), {column_x, text_y}, column_pt, {11, true, kInk, 4});
  text_y += 6 + blocks_.PutLegend(places, {column_x, text_y + 6}, column_pt, LegendLines());
  y_ = std::max(y_ + photo_pt.height, text_y) + kGapPt;
}

void Composer::PutHeat() {
  const cv::Size2d heat_pt = HeatSize();
  if (heat_pt.width <= 0) return;
  const double column_x = ColumnX();
  const double column_pt = kMarginPt + width_ - column_x;
  blocks_.PutPicture(pictures_.heat, {{kMarginPt, y_}, heat_pt}, true);
  double text_pt = blocks_.PutPhrase(
      content_.words.Get(content_.repair ? "caption.heat_before" : "caption.heat"),
      {column_x, y_},
      column_pt,
      {11, true, kInk, 8});
  text_pt += 4 + blocks_.PutPhrase(phrases_.HeatReading(pictures_.heat_has_rest),
                                   {column_x, y_ + text_pt + 4},
                                   column_pt,
                                   {10, false, kInk, 16});
  blocks_.PutBar(*pictures_.heat_scale, {kMarginPt + heat_pt.width, y_}, heat_pt.height);
  y_ += std::max(heat_pt.height, text_pt) + kGapPt;
}

void Composer::PutRepair() {
  y_ += blocks_.PutPhrase(content_.words.Get("heading.repair"), {kMarginPt, y_}, width_, kHeading);
  y_ += 0.3 * kGapPt;
  const double gap_pt = kGapPt;
  const double height = RowHeight({pictures_.before.bgr.size(), pictures_.after.bgr.size()},
                                  width_ - gap_pt - kBarColumnPt,
                                  170 * plan_.picture_scale);
  const cv::Size2d size_pt = WithHeight(pictures_.before.bgr.size(), height);
  const TextStyle caption{9.5, true, kInk, 2};
  const double after_x = kMarginPt + size_pt.width + gap_pt;
  const double before_text_pt = blocks_.PutPhrase(
      content_.words.Get("caption.before"), {kMarginPt, y_}, size_pt.width, caption);
  const double after_text_pt =
      blocks_.PutPhrase(content_.words.Get("caption.after"), {after_x, y_}, size_pt.width, caption);
  y_ += std::max(before_text_pt, after_text_pt) + 2;
  blocks_.PutPicture(pictures_.before, {{kMarginPt, y_}, size_pt}, false);
  blocks_.PutPicture(pictures_.after, {{after_x, y_}, size_pt}, false);
  blocks_.PutBar(*pictures_.repair_scale, {after_x + size_pt.width, y_}, height);
  y_ += height + 3;
  y_ += blocks_.PutPhrase(
      content_.words.Get("caption.heat"), {kMarginPt, y_}, width_, {10, true, kInk, 2});
  y_ += blocks_.PutPhrase(phrases_.RepairReading(pictures_.heat_has_rest),
                          {kMarginPt, y_ + 1},
                          width_,
                          {9, false, kInk, 5}) +
        0.8 * kGapPt;
}

void Composer::PutRegions() {
  y_ += blocks_.PutPhrase(content_.words.Get("heading.repair"), {kMarginPt, y_}, width_, kHeading);
  const TextStyle style{10, false, kInk, 3};
  const std::string extremes = RegionExtremes(content_);
  y_ += 2 + blocks_.PutPhrase(
                content_.words.Get("regions.compared"), {kMarginPt, y_ + 2}, width_, style);
  if (!content_.repair->regions.empty()) {
    y_ += 5 + blocks_.PutTable(RegionTable(content_), {kMarginPt, y_ + 5}, width_);
  }
  if (!extremes.empty()) {
    y_ += 2 + blocks_.PutPhrase(extremes, {kMarginPt, y_ + 2}, width_, style);
  }
  y_ += kGapPt;
}

TextStyle Composer::NotesStyle() const {
  return {plan_.notes_pt, false, kInk, 1000, TextAlign::kStart, true};
}

double Composer::NotesHeight() const {
  double wanted_pt = 0;
  for (const std::string& paragraph : notes_) {
    wanted_pt += HeightOf(paragraph, NotesStyle()) + kParagraphGapPt;
  }
  return wanted_pt;
}

void Composer::PutNotes() {
  if (notes_.empty()) return;
  const TextStyle style = NotesStyle();
  y_ += blocks_.PutPhrase(content_.words.Get("heading.done"), {kMarginPt, y_}, width_, kHeading) +
        kParagraphGapPt;
  page_.notes_fit = y_ + NotesHeight() <= bottom_ && !NotesAreLonger(content_.notes);
  const std::string more = content_.words.Get("notes.more");
  const double end = page_.notes_fit ? bottom_ : bottom_ - HeightOf(more, style);
  for (const std::string& paragraph : notes_) {
    const double height =
        blocks_.PutTextWithin(paragraph, {kMarginPt, y_, width_, end - y_}, style);
    if (height == 0) break;
    y_ += height + kParagraphGapPt;
  }
  if (!page_.notes_fit) y_ += blocks_.PutPhrase(more, {kMarginPt, y_}, width_, style);
}

double Composer::HeightOf(const std::string& text, TextStyle style) const {
  style.exact = true;
  return Canvas::Measure(text, width_, style).height;
}

double Composer::FooterHeight() const {
  std::vector<PageItem> scratch;
  SheetBlocks blocks(scratch, phrases_, content_.words.RightToLeft());
  const double means_pt = blocks.PutPhrase(phrases_.Means(), {}, width_, {8.5, false, kSoftInk, 3});
  return means_pt + 8.5 * 1.3 + 8;
}

void Composer::PutFooter(double y) {
  page_.items.emplace_back(PageFill{{kMarginPt, y, width_, 0.6}, kSoftInk});
  y += 4;
  const TextStyle style{8.5, false, kSoftInk, 3};
  y += blocks_.PutPhrase(phrases_.Means(), {kMarginPt, y}, width_, style) + 2;
  TextStyle line = style;
  line.max_lines = 1;
  const double program_pt = 0.4 * width_;
  const std::string tax = CleanText(content_.shop.tax, kContactChars);
  if (!tax.empty()) {
    blocks_.PutPhrase(content_.words.Fill("footer.tax", {{"value", tax}}),
                      {kMarginPt, y},
                      width_ - program_pt - kGapPt,
                      line);
  }
  line.align = TextAlign::kEnd;
  blocks_.PutPhrase(content_.words.Fill("footer.program", {{"version", OHMGLOW_VERSION}}),
                    {kMarginPt + width_ - program_pt, y},
                    program_pt,
                    line);
}

}  // namespace

SheetPage LayOutSheet(const SheetContent& content, const SheetPictures& pictures) {
  SheetPage page;
  for (const Plan& plan : kPlans) {
    Composer composer(content, pictures, plan);
    page = composer.Compose();
    // Rather cut the notes than make the pictures illegible.
    if (composer.pictures_fit() && (page.notes_fit || plan.picture_scale <= kLeastForNotes)) break;
  }
  return page;
}

}  // namespace ohmglow::internal
