// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "sheet/every_kind.h"
#include "sheet/sheet_blocks.h"
#include "sheet/sheet_layout.h"
#include "sheet/sheet_phrases.h"
#include "support/sample_sheet.h"

namespace ohmglow {
namespace {

using internal::LayOutSheet;
using internal::MakeSheetPictures;
using internal::PagePicture;
using internal::PageText;
using internal::SheetPage;
using testing::EveryKind;
using testing::HasText;
using testing::ItemsOf;
using testing::kLandscape;
using testing::MakeSampleRepair;
using testing::MakeSampleSheet;
using testing::PageOf;

void ExpectNothingOverlaps(const SheetPage& page, const std::string& which) {
  std::vector<std::pair<cv::Rect2d, std::string>> boxes;
  for (const PageText& text : ItemsOf<PageText>(page)) boxes.emplace_back(text.box, text.text);
  for (const PagePicture& picture : ItemsOf<PagePicture>(page)) {
    boxes.emplace_back(picture.box, "a picture");
  }
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    const auto& [box, name] = boxes[i];
    EXPECT_GE(box.x, 39.9) << which << ": " << name;
    EXPECT_GE(box.y, 39.9) << which << ": " << name;
    EXPECT_LE(box.br().x, page.size_pt.width - 39.9) << which << ": " << name;
    EXPECT_LE(box.br().y, page.size_pt.height - 39.9) << which << ": " << name;
    for (std::size_t j = i + 1; j < boxes.size(); ++j) {
      const cv::Rect2d common = box & boxes[j].first;
      // Labels of a bar may touch by the leading of their lines.
      EXPECT_FALSE(common.width > 0.5 && common.height > 1.5)
          << which << ": '" << name << "' and '" << boxes[j].second << "' by " << common;
    }
  }
}

void ExpectTextFits(const SheetPage& page, const std::string& which) {
  for (const PageText& text : ItemsOf<PageText>(page)) {
    const cv::Size2d size = internal::Canvas::Measure(text.text, text.box.width, text.style);
    EXPECT_LE(size.width, text.box.width + 0.1) << which << ": " << text.text;
    EXPECT_LE(size.height, text.box.height + 0.1) << which << ": " << text.text;
  }
}

// No ellipsis: what the page says is said in full.
void ExpectNothingIsCut(const SheetPage& page, const std::string& which) {
  for (PageText text : ItemsOf<PageText>(page)) {
    text.style.max_lines = 1000;
    const cv::Size2d size = internal::Canvas::Measure(text.text, text.box.width, text.style);
    EXPECT_LE(size.height, text.box.height + 0.1) << which << ": " << text.text;
  }
}

TEST(LayOutSheet, LetsNothingOverlapOrLeaveThePage) {
  int number = 0;
  for (auto& [content, pictures] : EveryKind()) {
    const std::string which = "page " + std::to_string(number++);
    content.paper = number % 2 == 0 ? Paper::kA4 : Paper::kLetter;
    if (number % 3 == 0) content.words = Words::BuiltIn("de");
    const SheetPage page = LayOutSheet(content, pictures);
    ExpectNothingOverlaps(page, which);
    ExpectTextFits(page, which);
    ExpectNothingIsCut(page, which);
    EXPECT_TRUE(page.notes_fit) << which;
  }
}

TEST(LayOutSheet, HoldsHugeTexts) {
  for (const std::string& filler : {std::string("x"),
                                    std::string("Long words "),
                                    std::string("\u05E9\u05DC\u05D5\u05DD"),
                                    std::string("e\u0301\u0302\u0303"),
                                    std::string("\u202E\x01<b>&"),
                                    std::string("a\n")}) {
    std::string huge;
    while (huge.size() < (1U << 20U)) huge += filler;
    for (const bool repair : {false, true}) {
      SheetContent content = MakeSampleSheet({10, Verdict::kSeveral, kLandscape});
      content.paper = Paper::kLetter;
      content.result.title = content.notes = huge;
      content.shop.name = content.shop.address = content.shop.phone = huge;
      content.shop.mail = content.shop.web = content.shop.tax = huge;
      for (auto& candidate : content.result.candidates) {
        candidate.confidence = 0.7;
        candidate.side = HeatSide::kUndecided;
        candidate.parts = {{huge, 0.4}, {huge, 0.4}};
      }
      if (repair) content.repair = MakeSampleRepair(content.result);
      const SheetPage page = PageOf(content);
      ExpectNothingOverlaps(page, "huge '" + filler + "'");
      ExpectTextFits(page, "huge '" + filler + "'");
      EXPECT_FALSE(page.notes_fit);
      EXPECT_TRUE(HasText(page, content.words.Get("notes.more")));
    }
  }
}

TEST(LayOutSheet, MarksThePlaceWhereThePhotoShowsIt) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  cv::Mat small(content.photo.rows / 2, content.photo.cols / 2, CV_8UC3, cv::Scalar::all(80));
  content.photo = small;
  content.photo_scale = 0.5;
  const auto pictures = ItemsOf<PagePicture>(PageOf(content));
  const auto photo = std::find_if(
      pictures.begin(), pictures.end(), [](const PagePicture& p) { return !p.marks.empty(); });
  ASSERT_NE(photo, pictures.end());
  ASSERT_EQ(photo->marks.size(), 1U);
  const Point place = *content.result.candidates[0].photo_px;
  EXPECT_NEAR(photo->marks[0].center.x,
              photo->box.x + (place.x + 0.5) / kLandscape.width * photo->box.width,
              0.3);
  EXPECT_NEAR(photo->marks[0].center.y,
              photo->box.y + (place.y + 0.5) / kLandscape.height * photo->box.height,
              0.3);
  EXPECT_TRUE(photo->marks[0].on_picture);
}

// Share of the picture at which it is lightest.
Point LightestShare(const cv::Mat& bgr) {
  cv::Mat grey;
  cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
  cv::GaussianBlur(grey, grey, {}, 3);
  cv::Point at;
  cv::minMaxLoc(grey, nullptr, nullptr, nullptr, &at);
  return {(at.x + 0.5) / bgr.cols, (at.y + 0.5) / bgr.rows};
}

TEST(LayOutSheet, ShowsTheHeatWhereThePhotoShowsThePlace) {
  for (const bool bent : {false, true}) {
    SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
    LocateResult& result = content.result;
    // The photo is turned: the frame's own view would put the place elsewhere.
    PlaneMap& map = *result.maps.photo_from_frame;
    map.matrix = cv::Matx33d(-1, 0, 1399, 0, -1, 1099, 0, 0, 1) * map.matrix;
    if (bent) result.maps.photo_lens = RadialLens{{699.5, 549.5}, 890, 0.08, 0};
    result.candidates[0].photo_px = result.maps.PhotoPlace(result.candidates[0].frame_px);
    const internal::SheetPictures pictures = MakeSheetPictures(content);
    ASSERT_TRUE(pictures.heat_as_photo);
    const Point spot = pictures.board.spots.at(0).at_share;
    EXPECT_EQ(pictures.heat.bgr.size(), pictures.board.bgr.size());
    EXPECT_EQ(pictures.heat.spots.at(0).at_share, spot);
    EXPECT_LT(cv::norm(LightestShare(pictures.heat.bgr) - spot), 0.01) << bent;
    const auto drawn = ItemsOf<PagePicture>(PageOf(content));
    ASSERT_EQ(drawn.size(), 4U);  // Logo, photo, heat, its bar.
    EXPECT_EQ(drawn[1].box.size(), drawn[2].box.size());
    EXPECT_EQ(drawn[1].box.x, drawn[2].box.x);
  }
}

TEST(LayOutSheet, SaysWhatOfThePhotoWasNotFilmed) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  EXPECT_FALSE(HasText(PageOf(content), "not filmed"));
  const cv::Matx33d whole = content.result.maps.photo_from_frame->matrix;
  const auto shrink = [&](double by) {
    content.result.maps.photo_from_frame->matrix = cv::Matx33d::diag({by, by, 1}) * whole;
    content.result.candidates[0].photo_px =
        content.result.maps.PhotoPlace(content.result.candidates[0].frame_px);
  };
  shrink(0.7);
  EXPECT_TRUE(HasText(PageOf(content), "Pale grey: not filmed"));
  const internal::SheetPictures pictures = MakeSheetPictures(content);
  const cv::Mat corner =
      pictures.heat.bgr(cv::Rect(pictures.heat.bgr.cols - 40, pictures.heat.bgr.rows - 40, 30, 30));
  const cv::Scalar mean = cv::mean(corner);
  EXPECT_NEAR(mean[0], mean[2], 1);  // Grey, and pale.
  EXPECT_GT(mean[1], 120);
  // Too small to see anything: the frame's own view.
  shrink(0.3);
  EXPECT_FALSE(MakeSheetPictures(content).heat_as_photo);
  EXPECT_FALSE(HasText(PageOf(content), "not filmed"));
}

TEST(LayOutSheet, ShrinksPicturesBeforeItCutsNotes) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  const auto photo_height = [&] { return ItemsOf<PagePicture>(PageOf(content)).at(1).box.height; };
  const double roomy = photo_height();
  for (int i = 0; i < 10; ++i) content.notes += "\nOne more line about the work.";
  EXPECT_TRUE(PageOf(content).notes_fit);
  EXPECT_LT(photo_height(), roomy);
  for (int i = 0; i < 50; ++i) content.notes += "\nOne more line about the work.";
  EXPECT_FALSE(PageOf(content).notes_fit);
}

TEST(LayOutSheet, PutsBothMeasurementsOnOneScale) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  content.repair = MakeSampleRepair(content.result);
  const auto pictures = MakeSheetPictures(content);
  ASSERT_TRUE(pictures.repair_scale.has_value());
  double most_k = 0;
  cv::minMaxLoc(content.repair->before_k, nullptr, &most_k);
  EXPECT_NEAR(pictures.repair_scale->high(), most_k, 1e-3);
  // The after picture alone would have a smaller scale: its brightest pixel is not the brightest.
  double before = 0;
  double after = 0;
  const cv::Rect seen(
      pictures.after.bgr.cols / 8, 0, pictures.after.bgr.cols * 7 / 8, pictures.after.bgr.rows);
  cv::minMaxLoc(pictures.before.bgr(seen).clone().reshape(1), nullptr, &before);
  cv::minMaxLoc(pictures.after.bgr(seen).clone().reshape(1), nullptr, &after);
  EXPECT_GT(before, after + 30);
}

// The page with one outcome of a second measurement.
SheetContent WithOutcome(RepairVerdict verdict) {
  SheetContent content = MakeSampleSheet({3, Verdict::kFound, kLandscape});
  content.repair = MakeSampleRepair(content.result);
  content.repair->verdict = verdict;
  return content;
}

std::size_t IndexOf(const SheetPage& page, const std::string& part) {
  const auto texts = ItemsOf<PageText>(page);
  const auto found = std::find_if(texts.begin(), texts.end(), [&](const PageText& text) {
    return text.text.find(part) != std::string::npos;
  });
  return static_cast<std::size_t>(found - texts.begin());
}

TEST(LayOutSheet, PutsTheOutcomeBeforeWhatWasFoundFirst) {
  const SheetPage page = PageOf(WithOutcome(RepairVerdict::kRepaired));
  ASSERT_TRUE(HasText(page, "Before the work the fault was"));
  EXPECT_LT(IndexOf(page, "the heat of the fault is"), IndexOf(page, "Before the work the fault"));
  EXPECT_FALSE(HasText(page, "The fault is"));
  // What warms beside the fault is explained with the pair as well.
  EXPECT_TRUE(HasText(page, Words().Get("repair.others")));
}

TEST(LayOutSheet, ShowsNoPairThatCouldNotHaveShownTheFault) {
  const SheetContent content = WithOutcome(RepairVerdict::kUndecided);
  EXPECT_FALSE(MakeSheetPictures(content).repair_scale.has_value());
  const SheetPage page = PageOf(content);
  EXPECT_TRUE(HasText(page, "could not show"));
  EXPECT_TRUE(HasText(page, "Heat picture before the work"));
  EXPECT_FALSE(HasText(page, Words().Get("caption.after")));
}

TEST(LayOutSheet, TellsOfRegionsAloneWithoutAnOutcome) {
  SheetContent content = WithOutcome(RepairVerdict::kUndecided);
  content.repair->only_regions = true;
  content.unit = TemperatureUnit::kFahrenheit;
  const SheetPage page = PageOf(content);
  EXPECT_FALSE(HasText(page, "could not show"));
  EXPECT_TRUE(HasText(page, Words().Get("regions.compared")));
  // 41.23 degrees Celsius are 1.8 x 41.23 + 32 = 106.2 degrees Fahrenheit (NIST SP 811, B.8).
  EXPECT_TRUE(HasText(page, "106\u00A0\u00B0F"));
  EXPECT_TRUE(HasText(page, "most even in corner and least even in left edge"));
  content.repair->regions.resize(50, content.repair->regions.front());
  EXPECT_TRUE(HasText(PageOf(content), "44 more"));
}

TEST(LayOutSheet, TellsWhereTheTitleIsCut) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  EXPECT_TRUE(PageOf(content).title_fits);
  content.result.title =
      "A title that was typed in a hurry and tells the whole story of the board, "
      "from the day on which it was bought to the morning on which it failed, "
      "and what the neighbours said about it";
  EXPECT_FALSE(PageOf(content).title_fits);
  EXPECT_FALSE(FitSheet(content).title);
}

TEST(BreakAtCommas, LeavesNoWordAlone) {
  const internal::TextStyle style{9, false, {}, 1};
  const auto width = [&](const std::string& text) {
    return internal::Canvas::Measure(text, 0, style).width;
  };
  const std::string address = "Harbour Lane 7, 20457 Hamburg, Germany";
  EXPECT_EQ(internal::BreakAtCommas(address, width(address) + 1, style),
            std::vector<std::string>{address});
  // The last word alone does not fit: not only that word goes to the second line.
  EXPECT_EQ(internal::BreakAtCommas(address, width(address) - 5, style),
            (std::vector<std::string>{"Harbour Lane 7", "20457 Hamburg, Germany"}));
  // A part that is too long by itself is left to break anywhere.
  EXPECT_EQ(internal::BreakAtCommas(address, 20, style), std::vector<std::string>{address});
}

}  // namespace
}  // namespace ohmglow
