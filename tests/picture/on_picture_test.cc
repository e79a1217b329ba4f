// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What lies on the overlay beside the marks: bars of length, the outline of what was filmed; and
// the key below it.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "picture/backdrop.h"
#include "picture/close_up.h"
#include "picture/filmed_area.h"
#include "picture/length_bar.h"
#include "picture/overlay_layout.h"
#include "support/sample_result.h"

namespace ohmglow::internal {
namespace {

using testing::MakeSamplePhoto;
using testing::MakeSampleResult;
using testing::SampleOptions;

PictureMap PhotoMap(const PlaneMap& picture_from_frame) {
  PictureMap map;
  map.is_photo = true;
  map.picture_from_frame = picture_from_frame;
  return map;
}

OverlayLayout LayOut(const LocateResult& result,
                     const SampleOptions& options,
                     const Words& words = Words::Report()) {
  const Backdrop backdrop = MakeBackdrop(result, MakeSamplePhoto(options));
  return LayOutOverlay(result, backdrop.map, backdrop.bgr.size(), {}, {}, words);
}

TEST(MakeFilmedArea, OutlinesTheFrameByItsPixelsOuterEdges) {
  // Ten photo pixels a frame pixel, 100 to the right and 50 down.
  const auto area =
      MakeFilmedArea({40, 30}, PhotoMap({{10, 0, 100, 0, 10, 50, 0, 0, 1}}), {800, 600}, "filmed");
  ASSERT_TRUE(area);
  ASSERT_EQ(area->outline.size(), 5U);
  EXPECT_EQ(area->outline[0], Point(95, 45));
  EXPECT_EQ(area->outline[2], Point(495, 345));
  EXPECT_EQ(area->outline[4], area->outline[0]);
}

TEST(MakeFilmedArea, IsEmptyWhereItSaysNothing) {
  const PictureMap all = PhotoMap({{10, 0, -50, 0, 10, -50, 0, 0, 1}});
  EXPECT_FALSE(MakeFilmedArea({40, 30}, all, {300, 200}, "filmed"));
  EXPECT_TRUE(MakeFilmedArea({40, 30}, all, {300, 300}, "filmed"));
  PictureMap frame = PhotoMap({{10, 0, 100, 0, 10, 50, 0, 0, 1}});
  frame.is_photo = false;
  EXPECT_FALSE(MakeFilmedArea({40, 30}, frame, {800, 600}, "filmed"));
  EXPECT_FALSE(MakeFilmedArea({}, PhotoMap({{10, 0, 100, 0, 10, 50, 0, 0, 1}}), {9, 9}, "filmed"));
  // The map's horizon crosses the frame: its right part would be drawn on the left.
  const PictureMap horizon = PhotoMap({{10, 0, 100, 0, 10, 50, -0.05, 0, 1}});
  EXPECT_FALSE(MakeFilmedArea({40, 30}, horizon, {800, 600}, "filmed"));
}

TEST(PlaceLabel, StandsOnTheOutlineAndLeavesFreeWhatIsTaken) {
  const TypeSizes sizes(800);
  const cv::Size size(800, 600);
  FilmedArea area =
      MakeFilmedArea({40, 30}, PhotoMap({{10, 0, 200, 0, 10, 150, 0, 0, 1}}), size, "filmed")
          .value();
  std::vector<cv::Rect2d> taken;
  for (int i = 0; i < 4; ++i) {
    area.label = {};
    PlaceLabel(area, size, taken, sizes, {});
    ASSERT_GT(area.label.area(), 0) << i;
    const Point middle = 0.5 * (area.label.tl() + area.label.br());
    EXPECT_LT(std::abs(cv::pointPolygonTest(
                  std::vector<cv::Point2f>(area.outline.begin(), area.outline.end() - 1),
                  cv::Point2f(middle),
                  true)),
              1)
        << i;
    for (const cv::Rect2d& other : taken) EXPECT_EQ((area.label & other).area(), 0) << i;
    taken.push_back(area.label);
  }
  taken.emplace_back(0, 0, 800, 600);
  area.label = {};
  PlaceLabel(area, size, taken, sizes, {});
  EXPECT_EQ(area.label.area(), 0);
}

TEST(PutBar, TakesAnotherCornerWhereOneIsTaken) {
  const TypeSizes sizes(1000);
  const LengthBar bar = MakeLengthBar(12.0, 200, sizes);
  EXPECT_EQ(bar.label, "10 mm");
  EXPECT_DOUBLE_EQ(bar.length_px, 120);
  const cv::Rect2d picture(0, 0, 1000, 700);
  std::vector<cv::Rect2d> taken;
  for (int i = 0; i < 4; ++i) {
    const auto put = PutBar(bar, picture, taken, sizes);
    ASSERT_TRUE(put) << i;
    EXPECT_NEAR((put->paper & picture).area(), put->paper.area(), 1e-6);
    for (const cv::Rect2d& other : taken) EXPECT_EQ((put->paper & other).area(), 0) << i;
    taken.push_back(put->paper);
  }
  EXPECT_FALSE(PutBar(bar, picture, taken, sizes));
  EXPECT_FALSE(PutBar(bar, {0, 0, 60, 60}, {}, sizes));
}

TEST(MakeLengthBar, SpeaksTheLanguageOfTheWords) {
  const TypeSizes sizes(1000);
  EXPECT_EQ(MakeLengthBar(400, 210, sizes).label, "0.5 mm");
  EXPECT_EQ(MakeLengthBar(400, 210, sizes, Words::Report("de")).label, "0,5 mm");
}

class EveryOverlay : public ::testing::TestWithParam<SampleOptions> {};

TEST_P(EveryOverlay, KeepsBarAndLabelOnThePictureAndOffTheMarks) {
  const LocateResult result = MakeSampleResult(GetParam());
  for (const char* language : {"en", "de"}) {
    const OverlayLayout layout = LayOut(result, GetParam(), Words::Report(language));
    const cv::Rect2d picture(layout.picture);
    std::vector<cv::Rect2d> boxes = BoxesOf(layout.marks, layout.sizes);
    EXPECT_TRUE(layout.bar.has_value());
    if (layout.bar) boxes.push_back(layout.bar->paper);
    const std::size_t last = boxes.size() - (layout.bar ? 1 : 0);
    if (layout.filmed && !layout.filmed->label.empty()) boxes.push_back(layout.filmed->label);
    for (std::size_t i = last; i < boxes.size(); ++i) {
      EXPECT_NEAR((boxes[i] & picture).area(), boxes[i].area(), 1e-6) << i;
      for (std::size_t k = 0; k < i; ++k) EXPECT_EQ((boxes[i] & boxes[k]).area(), 0) << i << k;
    }
  }
}

// A bar is read with the picture that it lies on, so its length must be that picture's.
TEST_P(EveryOverlay, GivesEachCloseUpABarOfItsOwnScale) {
  const OverlayLayout layout = LayOut(MakeSampleResult(GetParam()), GetParam());
  for (const CloseUp& one : layout.close_ups) {
    ASSERT_TRUE(one.bar && layout.bar);
    const double enlarge = static_cast<double>(one.box.width) / one.source.width;
    const auto px_per_mm = [](const LengthBar& bar) {
      return bar.length_px / std::stod(bar.label);
    };
    EXPECT_NEAR(px_per_mm(one.bar->bar) / px_per_mm(layout.bar->bar), enlarge, 1e-6 * enlarge);
    EXPECT_NEAR((one.bar->paper & cv::Rect2d(one.box)).area(), one.bar->paper.area(), 1e-6);
  }
}

// Without a photo: how large the frames' picture is, and what its greys are.
TEST(OverlayLayout, GivesFramesAloneTheirScales) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound, {}, false});
  result.maps = {};
  result.mm_per_pixel = 0.25;
  result.reference_k.setTo(300.15);  // 27 degrees Celsius, half of it 31.
  result.reference_k.rowRange(0, result.reference_k.rows / 2).setTo(304.15);
  const Backdrop frames = MakeBackdrop(result, {});
  const auto lay_out = [&] { return LayOutOverlay(result, frames.map, frames.bgr.size()); };
  OverlayLayout layout = lay_out();
  ASSERT_TRUE(layout.bar);
  const double bar_mm = std::stod(layout.bar->bar.label);
  EXPECT_NEAR(layout.bar->bar.length_px / bar_mm, frames.map.scale / 0.25, 1e-6);
  ASSERT_TRUE(layout.key.back().is_grey);
  const std::string greys = layout.key.back().words.text;
  EXPECT_NE(greys.find("27"), std::string::npos) << greys;
  EXPECT_NE(greys.find("31"), std::string::npos) << greys;
  EXPECT_LT(layout.key.back().words.box.br().y, layout.footer.y + 1);
  result.values = FrameValues::kRelative;
  EXPECT_EQ(lay_out().key.back().words.text.find("27"), std::string::npos);
  // A guess is no scale.
  result.assumed = {{"board.mm_per_pixel", "0.5", AssumedHow::kGuess}};
  EXPECT_FALSE(lay_out().bar);
}

// What is printed on the board beside a part stays legible.
TEST(LayOutCloseUp, PutsANameWhereNothingIsPrinted) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound, {1400, 1100}, true});
  const Point at_mm = *result.candidates[0].board_mm;
  const std::vector<Part> parts{{"C41", at_mm, 2, 1, result.side, ""}};
  cv::Mat photo(1100, 1400, CV_8UC3, cv::Scalar::all(90));
  const PictureMap map = MakeBackdrop(result, photo).map;
  const Mark mark = MakeMarks(result, map, photo.size(), TypeSizes(1400)).at(0);
  const auto lay_out = [&] {
    return LayOutCloseUp(result,
                         map,
                         photo.size(),
                         mark,
                         {0, 0, 420, 420},
                         parts,
                         PictureDetail(photo),
                         TypeSizes(1400));
  };
  const CloseUp plain = lay_out();
  const Point offset = plain.parts.at(0).name_at - plain.mark.center;
  // Print where the name has gone.
  const double enlarge = 420.0 / plain.source.width;
  const cv::Point print(mark.center + offset * (1 / enlarge));
  for (int x = -14; x <= 14; x += 4) {
    cv::line(photo, print + cv::Point(x, -6), print + cv::Point(x, 6), cv::Scalar::all(250), 1);
  }
  const CloseUp printed = lay_out();
  EXPECT_EQ(printed.parts.at(0).name, "C41");
  EXPECT_GT(cv::norm(printed.parts.at(0).name_at - printed.mark.center - offset), 10);
}

TEST_P(EveryOverlay, ExplainsTheMarksThatItShowsAndNoOther) {
  const OverlayLayout layout = LayOut(MakeSampleResult(GetParam()), GetParam());
  int rings = 0;
  int dots = 0;
  for (const Mark& mark : layout.marks) {
    if (mark.drawn()) ++(mark.may_be_fault ? rings : dots);
  }
  const bool greys = !GetParam().maps;  // Of the frames: there the photo lies nowhere.
  EXPECT_EQ(layout.key.size(), (rings > 0 ? 1U : 0U) + (dots > 0 ? 1U : 0U) + (greys ? 1U : 0U));
  for (const KeyItem& item : layout.key) {
    EXPECT_TRUE(item.is_grey ? greys : (item.sign.may_be_fault ? rings : dots) > 0);
    EXPECT_NEAR((item.words.box & layout.key_box).area(), item.words.box.area(), 1e-6);
  }
}

std::vector<SampleOptions> SomeOptions() {
  std::vector<SampleOptions> all;
  for (const int num : {1, 3, 8}) {
    for (const cv::Size size : {cv::Size(1400, 1100), cv::Size(1100, 1400)}) {
      for (const bool maps : {true, false}) {
        all.push_back({num, Verdict::kFound, size, maps, false});
        all.push_back({num, Verdict::kSeveral, size, maps, true});
        all.push_back({num, Verdict::kNone, size, maps, false});
      }
    }
  }
  return all;
}

INSTANTIATE_TEST_SUITE_P(Samples, EveryOverlay, ::testing::ValuesIn(SomeOptions()));

// Where a ring had to be drawn smaller than the area that holds the place, "95 %" would be wrong
// of it; the enlarged picture shows the area.
TEST(LayOutKey, Says95PercentOfRingsThatHoldSoMuchAlone) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound, {1400, 1100}, true, false});
  result.candidates[0].sigma_px = 3;
  EXPECT_EQ(LayOut(result, {}).key.at(0).words.text,
            Unbroken("ring: the place lies inside it with 95 % probability"));
  result.candidates[0].sigma_px = 10;
  const OverlayLayout layout = LayOut(result, {});
  EXPECT_TRUE(IsDrawnSmaller(layout.marks[0]));
  EXPECT_FALSE(IsDrawnSmaller(layout.close_ups.at(0).mark));
  EXPECT_EQ(layout.key.at(0).words.text,
            Unbroken("ring in the enlarged picture: the place lies inside it with 95 % "
                     "probability"));
}

}  // namespace
}  // namespace ohmglow::internal
