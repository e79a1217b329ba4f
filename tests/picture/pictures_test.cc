// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/picture/pictures.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

#include "ohmglow/base/error.h"
#include "picture/backdrop.h"
#include "picture/overlay_layout.h"
#include "support/sample_result.h"

namespace ohmglow {
namespace {

using testing::MakeSamplePhoto;
using testing::MakeSampleResult;
using testing::SampleOptions;

int NumDifferent(const cv::Mat& a, const cv::Mat& b) {
  cv::Mat difference;
  cv::absdiff(a, b, difference);
  return cv::countNonZero(difference.reshape(1));
}

// Picture pixels within the ring's inner edge must be the photo's own.
TEST(DrawOverlay, LeavesThePlacesThemselvesUncovered) {
  for (const bool close_pair : {false, true}) {
    for (const int num : {1, 3, 8}) {
      const SampleOptions options{num, Verdict::kSeveral, {1400, 1100}, true, close_pair};
      const LocateResult result = MakeSampleResult(options);
      const cv::Mat photo = MakeSamplePhoto(options);
      const internal::Backdrop backdrop = internal::MakeBackdrop(result, photo);
      ASSERT_EQ(NumDifferent(backdrop.bgr, photo), 0) << "a photo of this size keeps its pixels";
      const auto layout = internal::LayOutOverlay(result, backdrop.map, photo.size());
      const cv::Mat drawn = DrawOverlay(result, photo)(layout.picture);
      for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const Candidate& c = result.candidates[i];
        const internal::Mark& mark = layout.marks[i];
        if (!mark.drawn()) continue;
        // What lies within the line, as a square.
        const double free_px = mark.radius_px - 1.5 * layout.sizes.line_px;
        ASSERT_GT(free_px, 4);
        const int half = static_cast<int>(free_px / std::sqrt(2)) - 1;
        const cv::Rect spot(static_cast<int>(c.photo_px->x) - half,
                            static_cast<int>(c.photo_px->y) - half,
                            2 * half,
                            2 * half);
        EXPECT_EQ(NumDifferent(drawn(spot), photo(spot)), 0) << c.parts[0].ref;
      }
    }
  }
}

// Photo pixels at the place, rings around it, and no place beyond the list.
TEST(DrawCrop, ShowsThePlaceEnlarged) {
  const SampleOptions options{2, Verdict::kFound, {1400, 1100}, true};
  const LocateResult result = MakeSampleResult(options);
  const cv::Mat photo = MakeSamplePhoto(options);
  const cv::Mat crop = DrawCrop(result, 1, photo);
  EXPECT_EQ(crop.cols, 900);
  EXPECT_GT(crop.rows, 300);
  // The place itself lies uncovered at the middle: it is the photo there.
  const Point at = *result.candidates[0].photo_px;
  const cv::Vec3b middle = crop.at<cv::Vec3b>(cv::Point(450, 450));
  const cv::Vec3b there = photo.at<cv::Vec3b>(cv::Point(cvRound(at.x), cvRound(at.y)));
  EXPECT_LT(cv::norm(cv::Vec3d(middle) - cv::Vec3d(there)), 20);
  LocateResult beside = result;
  beside.candidates[0].photo_px = Point(-50, 20);
  EXPECT_TRUE(DrawCrop(beside, 1, photo).empty());
  EXPECT_THROW((void)DrawCrop(result, 3, photo), OptionError);
  EXPECT_THROW((void)DrawCrop(result, 0, photo), OptionError);
}

TEST(DrawOverlay, MarksThePicture) {
  const SampleOptions options{1};
  const LocateResult result = MakeSampleResult(options);
  const cv::Mat photo = MakeSamplePhoto(options);
  const auto layout =
      internal::LayOutOverlay(result, internal::MakeBackdrop(result, photo).map, photo.size());
  const cv::Mat drawn = DrawOverlay(result, photo);
  ASSERT_EQ(drawn.size(), layout.canvas_px);
  EXPECT_GT(NumDifferent(drawn(layout.picture), photo), 3000);
  // Text reaches no edge of the canvas: nothing is cut off.
  for (const cv::Rect edge :
       {cv::Rect(0, 0, 3, layout.picture.y - 1),
        cv::Rect(
            drawn.cols - 3, layout.picture.br().y + 1, 3, drawn.rows - layout.picture.br().y - 1),
        cv::Rect(0, drawn.rows - 3, drawn.cols, 3)}) {
    const cv::Mat strip = drawn(edge);
    EXPECT_EQ(NumDifferent(strip, cv::Mat(strip.size(), CV_8UC3, cv::Scalar(255, 255, 255))), 0);
  }
}

TEST(DrawOverlay, TellsWeakFromStrongWithoutColour) {
  const SampleOptions options{1, Verdict::kFound};
  const LocateResult strong = MakeSampleResult(options);
  LocateResult weak = strong;
  weak.candidates[0].confidence = 0.1;
  const cv::Mat photo = MakeSamplePhoto(options);
  const auto layout =
      internal::LayOutOverlay(strong, internal::MakeBackdrop(strong, photo).map, photo.size());
  const Point badge = layout.marks[0].badge - Point(0.75 * layout.sizes.badge_radius_px, 0);
  const auto grey_at_badge = [&](const LocateResult& result) {
    cv::Mat_<unsigned char> grey;
    cv::cvtColor(DrawOverlay(result, photo), grey, cv::COLOR_BGR2GRAY);
    return static_cast<int>(grey(cv::Point(badge)));
  };
  EXPECT_GT(grey_at_badge(weak) - grey_at_badge(strong), 100);
}

TEST(DrawOverlay, GivesTheSamePixelsEveryTime) {
  const SampleOptions options{8};
  const LocateResult result = MakeSampleResult(options);
  const cv::Mat photo = MakeSamplePhoto(options);
  EXPECT_EQ(NumDifferent(DrawOverlay(result, photo), DrawOverlay(result, photo)), 0);
  EXPECT_EQ(NumDifferent(DrawMap(result), DrawMap(result)), 0);
}

TEST(DrawOverlay, NeverWritesIntoThePhoto) {
  const SampleOptions options{3};
  const cv::Mat photo = MakeSamplePhoto(options);
  const cv::Mat before = photo.clone();
  static_cast<void>(DrawOverlay(MakeSampleResult(options), photo));
  EXPECT_EQ(NumDifferent(photo, before), 0);
}

TEST(DrawOverlay, DrawsOddShapesAndEmptyResults) {
  for (const cv::Size size : {cv::Size(1, 1), cv::Size(40, 900), cv::Size(3000, 120)}) {
    const SampleOptions options{8, Verdict::kFound, size};
    EXPECT_FALSE(DrawOverlay(MakeSampleResult(options), MakeSamplePhoto(options)).empty());
  }
  EXPECT_FALSE(DrawOverlay(LocateResult{}, cv::Mat()).empty());
  EXPECT_FALSE(DrawMap(LocateResult{}).empty());
}

TEST(DrawOverlay, SurvivesNumbersThatAreNone) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  LocateResult result = MakeSampleResult({3});
  Candidate& c = result.candidates[0];
  c.confidence = c.power_w = c.power_low_w = c.width_mm = c.sigma_px = nan;
  result.candidates[1].frame_px = {nan, nan};
  result.candidates[1].photo_px = Point(nan, nan);
  result.response_k(5, 5) = std::numeric_limits<float>::quiet_NaN();
  EXPECT_FALSE(DrawOverlay(result, MakeSamplePhoto({3})).empty());
  EXPECT_FALSE(DrawMap(result).empty());
}

TEST(DrawMap, IsLightestAtTheHottestPlace) {
  SampleOptions options{1};
  LocateResult result = MakeSampleResult(options);
  const cv::Mat with = DrawMap(result);
  result.response_k.setTo(0);
  const cv::Mat without = DrawMap(result);
  cv::Mat_<unsigned char> gain;
  cv::Mat difference;
  cv::subtract(with, without, difference);
  cv::cvtColor(difference, gain, cv::COLOR_BGR2GRAY);
  // The frame is enlarged 7 times below the header; look inside the body only.
  const cv::Rect body(0, with.rows - 7 * 120 - 70, 7 * 160, 7 * 120 - 20);
  cv::Point place;
  cv::minMaxLoc(gain(body), nullptr, nullptr, nullptr, &place);
  EXPECT_NEAR(place.x, 7 * result.candidates[0].frame_px.x + 3, 7);
}

TEST(DrawMap, MarksContactsInsideTheFrameOnly) {
  const LocateResult result = MakeSampleResult({1});
  EXPECT_GT(NumDifferent(DrawMap(result), DrawMap(result, {{{50, 20}, "PC1"}})), 200);
  EXPECT_EQ(NumDifferent(DrawMap(result), DrawMap(result, {{{-50, 20}, "PC1"}})), 0);
}

}  // namespace
}  // namespace ohmglow
