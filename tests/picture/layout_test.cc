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
      layout.headline, layout.detail, layout.footer, cv::Rect2d(layout.picture)};
  for (const Card& card : layout.cards) boxes.push_back(card.box);
  const cv::Rect2d canvas({0, 0}, cv::Size2d(layout.canvas_px));
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    EXPECT_NEAR((boxes[i] & canvas).area(), boxes[i].area(), 1e-6) << i;
    for (std::size_t j = 0; j < i; ++j) {
      EXPECT_EQ((boxes[i] & boxes[j]).area(), 0) << i << " and " << j;
    }
  }
}

TEST_P(EveryLayout, LetsNoLeadersCrossAndNoneRunOverARing) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  const auto& lines = layout.leaders;
  ASSERT_EQ(lines.size(), layout.marks.size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t a = 1; a < lines[i].size(); ++a) {
      for (const Mark& mark : layout.marks) {
        EXPECT_GT(SegmentDistance(mark.center, lines[i][a - 1], lines[i][a]), mark.radius_px)
            << "leader " << i + 1 << " over ring " << mark.rank;
      }
      for (std::size_t j = 0; j < i; ++j) {
        for (std::size_t b = 1; b < lines[j].size(); ++b) {
          EXPECT_FALSE(SegmentsCross(lines[i][a - 1], lines[i][a], lines[j][b - 1], lines[j][b]))
              << i + 1 << " and " << j + 1;
        }
      }
    }
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
    EXPECT_GE(layout.legend_below ? box.x - before.br().x : box.y - before.br().y, 0) << i + 1;
  }
}

TEST_P(EveryLayout, PutsBadgesBesideRingsAndInsideThePicture) {
  const OverlayLayout layout = LayOut(GetParam()).layout;
  const double r = layout.sizes.badge_radius_px;
  for (const Mark& mark : layout.marks) {
    EXPECT_GE(mark.badge.x - r, layout.picture.x);
    EXPECT_LE(mark.badge.x + r, layout.picture.br().x);
    EXPECT_GE(mark.badge.y - r, layout.picture.y);
    EXPECT_LE(mark.badge.y + r, layout.picture.br().y);
    for (const Mark& other : layout.marks) {
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

TEST_P(EveryLayout, DrawsRingsAsWideAsSpotAndUncertainty) {
  const LaidOut out = LayOut(GetParam());
  const cv::Mat photo = MakeSamplePhoto(GetParam());
  const Backdrop backdrop = MakeBackdrop(out.result, photo);
  for (const Mark& mark : out.layout.marks) {
    const Candidate& c = out.result.candidates[static_cast<std::size_t>(mark.rank - 1)];
    const double frame_px =
        std::sqrt(cv::determinant(backdrop.map.picture_from_frame.Jacobian(c.frame_px)));
    EXPECT_GE(mark.radius_px, frame_px * 0.5 * c.width_mm / out.result.mm_per_pixel);
    EXPECT_GE(mark.radius_px, frame_px * c.sigma_px);
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

// Lines that would cross are left out, and those that would wind.
TEST(OverlayLayout, LeadsStraightToMostEntries) {
  std::size_t num_marks = 0;
  std::size_t num_lines = 0;
  for (const SampleOptions& options : AllOptions()) {
    const OverlayLayout layout = LayOut(options).layout;
    num_marks += layout.marks.size();
    for (const std::vector<Point>& line : layout.leaders) {
      if (line.empty()) continue;
      ++num_lines;
      double length_px = 0;
      for (std::size_t i = 1; i < line.size(); ++i) length_px += Distance(line[i - 1], line[i]);
      const std::size_t mark = static_cast<std::size_t>(&line - layout.leaders.data());
      const double most = layout.marks[mark].may_be_fault ? 1.25 : 1.04;
      EXPECT_LT(length_px, most * Distance(line.front(), line.back()));
      if (line.size() < 3) continue;
      const Point back = line[0] - line[1];
      const Point on = line[2] - line[1];
      // No sharper than 120 degrees.
      EXPECT_LE(back.dot(on), -0.5 * cv::norm(back) * cv::norm(on) + 1e-6) << "bends back";
    }
  }
  EXPECT_GT(2 * num_lines, num_marks);
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

TEST(OverlayLayout, ListsPlacesOutsideThePhotoWithoutALeader) {
  LocateResult result = MakeSampleResult({});
  result.candidates[1].frame_px = {-40, 30};
  result.candidates[1].photo_px.reset();
  const Backdrop backdrop = MakeBackdrop(result, MakeSamplePhoto({}));
  const OverlayLayout layout = LayOutOverlay(result, backdrop.map, backdrop.bgr.size());
  EXPECT_FALSE(layout.marks[1].on_picture);
  EXPECT_TRUE(layout.leaders[1].empty());
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
