// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "picture/backdrop.h"
#include "picture/overlay_layout.h"
#include "picture/segments.h"
#include "support/sample_result.h"

namespace ohmglow::internal {
namespace {

using testing::MakeSamplePhoto;
using testing::MakeSampleResult;
using testing::SampleOptions;

struct LaidOut {
  LocateResult result;
  OverlayLayout layout;
};

LaidOut LayOut(const SampleOptions& options) {
  LaidOut out{MakeSampleResult(options), {}};
  const Backdrop backdrop = MakeBackdrop(out.result, MakeSamplePhoto(options));
  out.layout = LayOutOverlay(out.result, backdrop.map, backdrop.bgr.size());
  return out;
}

double Distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

class EveryLayout : public ::testing::TestWithParam<SampleOptions> {};

TEST_P(EveryLayout, KeepsAllBoxesApartAndInside) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  std::vector<cv::Rect2d> boxes{
      layout.headline, layout.detail, layout.key_box, layout.footer, cv::Rect2d(layout.picture)};
  for (const Card& card : layout.cards) boxes.push_back(card.box);
  for (const CloseUp& one : layout.close_ups) boxes.emplace_back(one.box);
  const cv::Rect2d canvas({0, 0}, cv::Size2d(layout.canvas_px));
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    EXPECT_NEAR((boxes[i] & canvas).area(), boxes[i].area(), 1e-6) << i;
    for (std::size_t j = 0; j < i; ++j) {
      EXPECT_EQ((boxes[i] & boxes[j]).area(), 0) << i << " and " << j;
    }
  }
}

TEST_P(EveryLayout, LetsNoMarksTouch) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  EXPECT_EQ(NumTouching(layout.marks, layout.sizes), 0);
}

TEST_P(EveryLayout, EnlargesWhatMayBeTheFaultWithItsMark) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  std::size_t worth = 0;
  for (const Mark& mark : layout.marks) {
    const double share = CV_PI * mark.radius_px * mark.radius_px / layout.picture.area();
    if (mark.may_be_fault && mark.drawn() && share < 0.05) ++worth;
  }
  EXPECT_EQ(layout.close_ups.size(), std::min<std::size_t>(worth, 2));
  for (const CloseUp& one : layout.close_ups) {
    EXPECT_TRUE(layout.marks[static_cast<std::size_t>(one.rank - 1)].may_be_fault);
    EXPECT_TRUE(cv::Rect2d(one.box).contains(one.mark.center));
    EXPECT_TRUE(cv::Rect2d(one.box).contains(one.mark.badge));
    EXPECT_GT(Distance(one.mark.badge, one.mark.center), layout.sizes.badge_radius_px);
    EXPECT_GT(one.box.width, 1.5 * one.source.width * (layout.picture.width < 1000 ? 0.1 : 0.5));
  }
}

// A list that does not start with 1 is read wrong.
TEST_P(EveryLayout, ListsThePlacesInTheOrderOfTheirRanks) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  for (std::size_t i = 0; i < layout.cards.size(); ++i) {
    EXPECT_EQ(layout.cards[i].rank, static_cast<int>(i) + 1);
    if (i == 0) continue;
    const cv::Rect2d& before = layout.cards[i - 1].box;
    const cv::Rect2d& box = layout.cards[i].box;
    const bool side_by_side = layout.legend_below && layout.close_ups.empty();
    EXPECT_GE(side_by_side ? box.x - before.br().x : box.y - before.br().y, 0) << i + 1;
  }
}

TEST_P(EveryLayout, PutsBadgesBesideRingsAndInsideThePicture) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  const double r = layout.sizes.badge_radius_px;
  for (const Mark& mark : layout.marks) {
    if (!mark.drawn()) continue;
    EXPECT_GE(mark.badge.x - r, layout.picture.x);
    EXPECT_LE(mark.badge.x + r, layout.picture.br().x);
    EXPECT_GE(mark.badge.y - r, layout.picture.y);
    EXPECT_LE(mark.badge.y + r, layout.picture.br().y);
    for (const Mark& other : layout.marks) {
      if (!other.drawn()) continue;
      EXPECT_GT(Distance(mark.badge, other.center), r + other.radius_px)
          << mark.rank << " on " << other.rank;
      if (other.rank < mark.rank) {
        EXPECT_GT(Distance(mark.badge, other.badge), 2 * r);
      }
    }
  }
}

TEST_P(EveryLayout, KeepsHeadlineAndNumeralsLegibleAtPhoneWidth) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  const double at_phone = 400.0 / layout.canvas_px.width;
  // Common practice, no source: nothing below 10 px, headline 12 px.
  EXPECT_GE(layout.sizes.headline_px * at_phone, 12 - 1e-2);
  EXPECT_GE(layout.sizes.numeral_px * at_phone, 10 - 1e-2);
}

// sqrt(-2 ln 0.05) = 2.448 standard errors of a coordinate hold 95 % of a normal
// error in the plane (Rayleigh distribution, NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.6.6).
TEST(OverlayLayout, DrawsTheAreaThatHoldsThePlaceWith95Percent) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound, {1400, 1100}, true, false});
  const Backdrop backdrop = MakeBackdrop(result, MakeSamplePhoto({}));
  const double frame_px = std::sqrt(
      cv::determinant(backdrop.map.picture_from_frame.Jacobian(result.candidates[0].frame_px)));
  for (const double sigma_px : {2.5, 4.0}) {
    result.candidates[0].sigma_px = sigma_px;
    const OverlayLayout layout = LayOutOverlay(result, backdrop.map, backdrop.bgr.size());
    EXPECT_NEAR(layout.marks[0].radius_px / (frame_px * sigma_px), 2.448, 0.01);
  }
  // And never less than the eye needs.
  result.candidates[0].sigma_px = 0.01;
  const OverlayLayout layout = LayOutOverlay(result, backdrop.map, backdrop.bgr.size());
  EXPECT_GE(layout.marks[0].radius_px, 0.5 * layout.sizes.badge_radius_px);
}

TEST(OverlayLayout, GivesMarksThatLieTogetherRoomOrHidesThem) {
  for (const double apart_px : {0.0, 0.5, 1.0, 2.0, 4.0, 8.0}) {
    for (const double second : {0.1, 0.5}) {
      LocateResult result = MakeSampleResult({2, Verdict::kSeveral, {1400, 1100}, true, false});
      result.candidates[1].confidence = second;
      result.candidates[1].frame_px = result.candidates[0].frame_px + Point(apart_px, 0);
      for (Candidate& candidate : result.candidates) {
        candidate.sigma_px = 1.5;
        candidate.photo_px.reset();
      }
      const Backdrop backdrop = MakeBackdrop(result, MakeSamplePhoto({}));
      const OverlayLayout layout = LayOutOverlay(result, backdrop.map, backdrop.bgr.size());
      EXPECT_EQ(NumTouching(layout.marks, layout.sizes), 0) << apart_px << ' ' << second;
      EXPECT_TRUE(layout.marks[0].drawn());
      if (apart_px == 0) {
        EXPECT_EQ(layout.marks[1].hidden_by, 1);
        EXPECT_EQ(layout.cards[1].lines.back(), "too near 1 to be marked");
      }
      if (apart_px == 8) {
        EXPECT_TRUE(layout.marks[1].drawn());
      }
    }
  }
}

std::vector<SampleOptions> AllOptions() {
  std::vector<SampleOptions> all;
  for (const int num : {1, 2, 3, 5, 8}) {
    for (const cv::Size size : {cv::Size(1400, 1100), cv::Size(1100, 1400), cv::Size(96, 72)}) {
      for (const bool maps : {true, false}) {
        all.push_back({num, Verdict::kFound, size, maps, false});
        all.push_back({num, Verdict::kSeveral, size, maps, true});
      }
    }
    all.push_back({num, Verdict::kNone, {1400, 1100}, true, false});
  }
  return all;
}

INSTANTIATE_TEST_SUITE_P(Samples, EveryLayout, ::testing::ValuesIn(AllOptions()));

TEST(OverlayLayout, KeepsLongNamesInsideTheirCards) {
  LocateResult result = MakeSampleResult({});
  const std::string long_name(300, 'W');
  for (Candidate& c : result.candidates) c.parts = {{long_name, 0.5}, {long_name, 0.4}};
  result.title = long_name;
  const Backdrop backdrop = MakeBackdrop(result, MakeSamplePhoto({}));
  const OverlayLayout layout = LayOutOverlay(result, backdrop.map, backdrop.bgr.size());
  for (const Card& card : layout.cards) {
    double height = 0;
    for (std::size_t i = 0; i < card.lines.size(); ++i) {
      const cv::Size2d size = Canvas::Measure(
          card.lines[i], card.text.width, CardStyle(layout.sizes, card.may_be_fault, i));
      EXPECT_LE(size.width, card.text.width + 1);
      height += size.height;
    }
    EXPECT_LE(height, card.text.height + 1);
    EXPECT_LT(card.box.br().y, layout.footer.y);
  }
}

TEST(OverlayLayout, ListsPlacesOutsideThePhotoInTheLegendAlone) {
  LocateResult result = MakeSampleResult({});
  result.candidates[1].frame_px = {-40, 30};
  result.candidates[1].photo_px.reset();
  const Backdrop backdrop = MakeBackdrop(result, MakeSamplePhoto({}));
  const OverlayLayout layout = LayOutOverlay(result, backdrop.map, backdrop.bgr.size());
  EXPECT_FALSE(layout.marks[1].on_picture);
  EXPECT_EQ(layout.cards[1].lines.back(), "outside this picture");
  EXPECT_EQ((layout.cards[0].box & layout.cards[1].box).area(), 0);
}

TEST(SegmentsCross, TellsCrossingFromPassing) {
  EXPECT_TRUE(SegmentsCross({0, 0}, {2, 2}, {0, 2}, {2, 0}));
  EXPECT_FALSE(SegmentsCross({0, 0}, {2, 2}, {3, 0}, {5, 1}));
  EXPECT_TRUE(SegmentsCross({0, 0}, {2, 0}, {1, 0}, {3, 0}));
  EXPECT_FALSE(SegmentsCross({0, 0}, {1, 0}, {2, 0}, {3, 0}));
}

}  // namespace
}  // namespace ohmglow::internal
