// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

#include "ohmglow/picture/compare_report.h"
#include "picture/backdrop.h"
#include "picture/compare_layout.h"
#include "support/sample_compare.h"

namespace ohmglow {
namespace {

using internal::CompareCard;
using internal::CompareLayout;
using internal::ComparePanel;
using internal::Tag;
using internal::TextBlock;
using testing::MakeSampleCompare;
using testing::MakeSampleComparePhoto;
using testing::SampleCompareOptions;

const cv::Size kLandscape(1400, 1100);
const cv::Size kPortrait(1100, 1400);

int NumDifferent(const cv::Mat& a, const cv::Mat& b) {
  cv::Mat difference;
  cv::absdiff(a, b, difference);
  return cv::countNonZero(difference.reshape(1));
}

// As DrawCompare() lays out frames of 160 x 120, a photo of this shape filling its room.
CompareLayout LayOut(const CompareResult& result, cv::Size photo_px, bool with_photo) {
  internal::ComparePictures pictures;
  pictures.map.scale = 5;
  pictures.map.picture_from_frame = internal::EnlargedFromFrame(5);
  pictures.map_px = {800, 600};
  const cv::Size room = internal::PhotoRoom(pictures.map_px, result.places.size());
  const cv::Size source = with_photo ? photo_px : cv::Size(160, 120);
  const double scale = std::min(room.width / static_cast<double>(source.width),
                                room.height / static_cast<double>(source.height));
  pictures.photo_px = {static_cast<int>(source.width * scale),
                       static_cast<int>(source.height * scale)};
  pictures.photo.scale = scale;
  pictures.photo.is_photo = with_photo;
  pictures.photo.picture_from_frame = internal::EnlargedFromFrame(scale);
  return internal::LayOutCompare(result, pictures);
}

bool Overlap(const cv::Rect2d& a, const cv::Rect2d& b) { return (a & b).area() > 1e-6; }

void ExpectTagsApart(const ComparePanel& panel) {
  for (std::size_t i = 0; i < panel.tags.size(); ++i) {
    const Tag& tag = panel.tags[i];
    if (!tag.mark.on_picture) continue;
    EXPECT_EQ((tag.box & cv::Rect2d(panel.picture)).area(), tag.box.area()) << tag.letter;
    for (std::size_t k = 0; k < panel.tags.size(); ++k) {
      const Tag& other = panel.tags[k];
      EXPECT_FALSE(k < i && Overlap(tag.box, other.box)) << tag.letter << other.letter;
      EXPECT_FALSE(tag.box.contains(other.mark.center)) << tag.letter << " covers " << other.letter;
    }
  }
}

// All boxes that must keep apart from one another.
std::vector<cv::Rect2d> Boxes(const CompareLayout& layout) {
  std::vector<cv::Rect2d> boxes{layout.headline.box, layout.sentences.box};
  if (layout.with_maps) {
    for (const ComparePanel* panel : {&layout.before, &layout.after, &layout.photo}) {
      boxes.emplace_back(panel->picture);
      boxes.push_back(panel->heading.box);
    }
    boxes.push_back(layout.length_bar);
    boxes.push_back(layout.color_bar);
    boxes.push_back(layout.scale_note.box);
    if (layout.with_unseen) boxes.push_back(layout.unseen_note.box);
  }
  for (const CompareCard& card : layout.cards) boxes.push_back(card.box);
  return boxes;
}

TEST(LayOutCompare, KeepsEverythingApartAndOnThePage) {
  for (const int places : {0, 1, 3, 4, 5, 10}) {
    for (const cv::Size photo : {kLandscape, kPortrait, cv::Size(2400, 500)}) {
      for (const bool maps : {true, false}) {
        const CompareResult result =
            MakeSampleCompare({CompareVerdict::kNewPlace, places, photo, maps, true, 3});
        const CompareLayout layout = LayOut(result, photo, maps);
        const cv::Rect2d page({0, 0}, cv::Size2d(layout.canvas_px));
        std::vector<cv::Rect2d> boxes = Boxes(layout);
        for (std::size_t i = 0; i < boxes.size(); ++i) {
          EXPECT_EQ((boxes[i] & page).area(), boxes[i].area()) << i;
          for (std::size_t k = 0; k < i; ++k) EXPECT_FALSE(Overlap(boxes[i], boxes[k])) << i << k;
        }
        for (const TextBlock& text : layout.texts) {
          EXPECT_EQ((text.box & page).area(), text.box.area()) << text.text;
          for (const cv::Rect2d& box : boxes) EXPECT_FALSE(Overlap(text.box, box)) << text.text;
        }
        ASSERT_EQ(layout.cards.size(), static_cast<std::size_t>(places));
        for (const ComparePanel* panel : {&layout.before, &layout.after, &layout.photo}) {
          ExpectTagsApart(*panel);
        }
      }
    }
  }
}

TEST(LayOutCompare, MarksThePlacesAlikeInAllThreePictures) {
  const CompareResult result = MakeSampleCompare({CompareVerdict::kNewPlace, 10});
  const CompareLayout layout = LayOut(result, kLandscape, true);
  for (std::size_t i = 0; i < result.places.size(); ++i) {
    const ComparedPlace& place = result.places[i];
    for (const ComparePanel* panel : {&layout.before, &layout.after, &layout.photo}) {
      EXPECT_EQ(panel->tags[i].letter, place.name);
      EXPECT_EQ(panel->tags[i].mark.may_be_fault, place.suspect);
    }
    // Both maps are in the first view.
    const Point before = layout.before.tags[i].mark.center - Point(layout.before.picture.tl());
    const Point after = layout.after.tags[i].mark.center - Point(layout.after.picture.tl());
    EXPECT_NEAR(cv::norm(before - after), 0, 1e-9);
    EXPECT_NEAR(before.x, 5 * place.before_px.x + 2, 1e-9);
    EXPECT_EQ(layout.cards[i].letter, place.name);
  }
}

TEST(LayOutCompare, SaysWhatChangedBesideTheMarks) {
  const CompareResult result = MakeSampleCompare({CompareVerdict::kRepaired, 3});
  const CompareLayout layout = LayOut(result, kLandscape, true);
  EXPECT_EQ(layout.before.tags[0].words, "520 mW");
  EXPECT_EQ(layout.after.tags[0].words, "gone");
  EXPECT_EQ(layout.after.tags[1].words, "unchanged");
  EXPECT_EQ(layout.photo.tags[2].words, "weaker");
}

TEST(LayOutCompare, CountsWhatIsNotDrawn) {
  CompareResult result =
      MakeSampleCompare({CompareVerdict::kNewPlace, 10, kLandscape, true, true, 20});
  result.places.push_back(result.places.back());
  const CompareLayout layout = LayOut(result, kLandscape, true);
  EXPECT_EQ(layout.cards.size(), internal::kMostComparedPlaces);
  EXPECT_EQ(layout.texts.back().text.find("(12"), 0U) << layout.texts.back().text;
  EXPECT_NE(layout.texts.back().text.find("regions more"), std::string::npos);
}

TEST(DrawCompare, DrawsBothMapsAtOneScale) {
  // The same response twice must give the same pixels, whatever the other map holds.
  CompareResult result =
      MakeSampleCompare({CompareVerdict::kUndecided, 0, kLandscape, true, false});
  result.after_k = result.before_k.clone();
  result.after.reference_k = result.before.reference_k;
  result.alignment.after_from_before = {};
  const cv::Mat same = DrawCompare(result, {});
  const CompareLayout layout = LayOut(result, {160, 120}, false);
  ASSERT_EQ(same.cols, layout.canvas_px.width);
  EXPECT_EQ(NumDifferent(same(layout.before.picture), same(layout.after.picture)), 0);
  // A strong place in one darkens both alike.
  result.after_k(60, 80) = 50;
  const cv::Mat strong = DrawCompare(result, {});
  const cv::Rect quiet(20, 400, 200, 100);
  EXPECT_EQ(NumDifferent(strong(quiet + layout.before.picture.tl()),
                         strong(quiet + layout.after.picture.tl())),
            0);
  EXPECT_GT(NumDifferent(strong(quiet + layout.before.picture.tl()),
                         same(quiet + layout.before.picture.tl())),
            0);
}

TEST(DrawCompare, LaysTheOutlinesOfTheSecondCaptureOntoTheFirst) {
  CompareResult result =
      MakeSampleCompare({CompareVerdict::kUndecided, 0, kLandscape, true, false});
  result.before_k = 0;
  result.after_k = 0;
  const CompareLayout layout = LayOut(result, {160, 120}, false);
  // The sample's second view is shifted by (3, -2) pixels and its map says so.
  const auto difference = [&] {
    const cv::Mat drawn = DrawCompare(result, {});
    const cv::Rect inner(100, 100, 600, 400);
    return NumDifferent(drawn(inner + layout.before.picture.tl()),
                        drawn(inner + layout.after.picture.tl()));
  };
  EXPECT_EQ(difference(), 0);
  result.alignment.after_from_before = {};
  EXPECT_GT(difference(), 1000);
}

TEST(DrawCompare, HatchesWhatTheSecondCaptureMissed) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kRepaired, 1});
  const CompareLayout layout = LayOut(result, kLandscape, true);
  ASSERT_TRUE(layout.with_unseen);
  const cv::Mat drawn = DrawCompare(result, MakeSampleComparePhoto({}));
  const cv::Mat corner = drawn(cv::Rect(layout.after.picture.tl(), cv::Size(60, 60)));
  const cv::Mat swatch = drawn(layout.unseen_swatch);
  for (const cv::Mat& area : {corner, swatch}) {
    double low = 0;
    double high = 0;
    cv::minMaxLoc(area.clone().reshape(1), &low, &high);
    EXPECT_EQ(low, 180);
    EXPECT_EQ(high, 225);
  }
  result.after_k = result.before_k.clone();
  EXPECT_FALSE(LayOut(result, kLandscape, true).with_unseen);
}

TEST(LayOutCompare, PutsTheHatchOnALineOfItsOwn) {
  const CompareLayout layout =
      LayOut(MakeSampleCompare({CompareVerdict::kRepaired, 3}), kLandscape, true);
  ASSERT_TRUE(layout.with_unseen);
  EXPECT_GE(layout.unseen_swatch.y, layout.scale_note.box.br().y);
  EXPECT_GE(layout.unseen_note.box.y, layout.scale_note.box.br().y);
  EXPECT_NE(layout.scale_note.text.find("outlines: parts"), std::string::npos);
}

TEST(DrawCompare, TellsSuspectsWithoutColour) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kRepaired, 1});
  const CompareLayout layout = LayOut(result, kLandscape, true);
  const Point at = layout.after.tags[0].mark.badge - Point(0.75 * layout.sizes.badge_radius_px, 0);
  const auto grey = [&] {
    cv::Mat_<unsigned char> image;
    cv::cvtColor(DrawCompare(result, {}), image, cv::COLOR_BGR2GRAY);
    return static_cast<int>(image(cv::Point(at)));
  };
  const int strong = grey();
  result.places[0].suspect = false;
  EXPECT_GT(grey() - strong, 100);
}

TEST(DrawCompare, GivesTheSamePixelsEveryTimeAndLeavesItsInputsAlone) {
  const SampleCompareOptions options{CompareVerdict::kNewPlace, 10};
  const CompareResult result = MakeSampleCompare(options);
  const cv::Mat photo = MakeSampleComparePhoto(options);
  const cv::Mat photo_before = photo.clone();
  const Image static_before = result.after.reference_k.clone();
  EXPECT_EQ(NumDifferent(DrawCompare(result, photo), DrawCompare(result, photo)), 0);
  EXPECT_EQ(NumDifferent(photo, photo_before), 0);
  EXPECT_EQ(cv::norm(result.after.reference_k, static_before), 0);
}

TEST(DrawCompare, DrawsOddShapesAndEmptyResults) {
  const float nan = std::numeric_limits<float>::quiet_NaN();
  EXPECT_FALSE(DrawCompare({}, {}).empty());
  EXPECT_FALSE(DrawCompare(testing::MakeSampleRegions(30), {}).empty());
  for (const cv::Size size : {cv::Size(1, 1), cv::Size(40, 900), cv::Size(3000, 20)}) {
    CompareResult result;
    result.before_k = Image(size, 0.5F);
    result.after_k = Image(size, nan);
    result.noise_k = std::numeric_limits<double>::quiet_NaN();
    result.places.resize(12);
    for (ComparedPlace& place : result.places) place.before_px = {nan, 1e9};
    EXPECT_FALSE(DrawCompare(result, {}).empty()) << size;
    EXPECT_FALSE(DrawCompare(result, cv::Mat(size, CV_8UC3, cv::Scalar::all(9))).empty()) << size;
  }
}

}  // namespace
}  // namespace ohmglow
