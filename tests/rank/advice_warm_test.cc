// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_warm.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <random>

#include "analysis.h"
#include "ohmglow/locate.h"
#include "rank/rank.h"
#include "support/plate_film.h"
#include "support/said.h"

namespace ohmglow {
namespace {

const cv::Size kSize(96, 72);

LocateResult OnABoard() {
  LocateResult result;
  result.mm_per_pixel = 0.5;
  result.maps.board_from_frame = PlaneMap{{0.5, 0, 0, 0, 0.5, 0, 0, 0, 1}};
  return result;
}

Response Warm(const std::vector<std::pair<Point, double>>& blobs) {
  Response response;
  response.rise_k = Image(kSize, 0.0F);
  for (const auto& [at_px, rise_k] : blobs) {
    response.rise_k += rise_k * testing::Blob(kSize, at_px, 4);
  }
  response.seen = Mask(kSize, static_cast<unsigned char>(255));
  response.noise_rise_k = 0.01;
  return response;
}

TEST(WarmUnlisted, IsWhatAReaderOfTheMapAsksAbout) {
  LocateResult result = OnABoard();
  Response response = Warm({{{20, 20}, 1}, {{70, 50}, 0.6}, {{20, 55}, 0.08}});
  result.candidates.resize(1);
  result.candidates[0].frame_px = {22, 20};
  result.candidates[0].width_mm = 3;
  result.candidates[0].rise_k = 1;
  std::vector<Point> places = WarmUnlisted(response, result);
  ASSERT_EQ(places.size(), 1U);  // The third is faint beside them.
  EXPECT_LT(cv::norm(places[0] - Point(70, 50)), 1);
  // Within the width of the listed place, which is no reason where that is the weaker one.
  result.candidates[0].width_mm = 30;
  EXPECT_TRUE(WarmUnlisted(response, result).empty());
  result.candidates[0].rise_k = 0.2;
  EXPECT_EQ(WarmUnlisted(response, result).size(), 1U);
  response.noise_rise_k = 0.08;
  EXPECT_TRUE(WarmUnlisted(response, result).empty());
  response.noise_rise_k = 0.01;
  response.seen(cv::Rect(50, 30, 46, 42)) = 0;
  places = WarmUnlisted(response, result);
  EXPECT_TRUE(places.empty());
}

TEST(WarmUnlisted, IsWhatGlaresHoweverWarmTheWarmest) {
  LocateResult result = OnABoard();
  const Response response = Warm({{{20, 20}, 40}, {{70, 50}, 2}, {{20, 55}, 0.6}});
  const std::vector<Point> places = WarmUnlisted(response, result);
  ASSERT_EQ(places.size(), 2U);
  EXPECT_LT(cv::norm(places[1] - Point(70, 50)), 1);
}

TEST(NearestName, IsThePartElseTheMillimetresElseThePixel) {
  LocateResult result = OnABoard();
  const std::vector<Part> parts{{"U3", {12, 10}, 4, 4, BoardSide::kTop, "ic"},
                                {"C9", {10, 10}, 1, 1, BoardSide::kBottom, "cap"}};
  EXPECT_EQ(Say(NearestName({20, 20}, result, parts)), "near U3");
  EXPECT_EQ(Say(NearestName({20, 60}, result, parts)), "at 10, 30 mm");
  result.maps = {};
  EXPECT_EQ(Say(NearestName({20, 60}, result, parts)), "at pixel 20, 60");
}

Case ShortAtC1() {
  const testing::Steps steps = {{6, 1.0}, {16, 2.0}, {26, 0.0}};
  constexpr int kNumFrames = 120;
  constexpr double kFrameS = 0.25;
  Stack stack = testing::StillStack(kSize, kNumFrames, 1, kFrameS, 296);
  testing::PlateSource fault;
  fault.power_w = 0.02;
  fault.center_px = {60, 44};
  testing::AddPlate(fault, steps, stack);
  std::mt19937 random(5);
  testing::AddNoise(random, 0.05, stack);
  Case job;
  for (std::size_t i = 0; i < kNumFrames; ++i) {
    for (int y = 0; y < kSize.height; ++y) {
      for (int x = 0; x < kSize.width; ++x) {  // Something to register on.
        stack.bins_k[i](y, x) +=
            static_cast<float>(0.6 * std::sin(0.45 * x + 0.3) * std::cos(0.38 * y));
      }
    }
    job.frame_times_s.push_back(kFrameS * static_cast<double>(i));
  }
  job.frames = std::make_shared<MemoryFrames>(std::move(stack.bins_k));
  job.supply = testing::StepLog(steps, 30);
  job.clock_offset_s = 0;
  for (const Point p : {Point(0, 0), Point(90, 0), Point(90, 70), Point(0, 70)}) {
    job.landmarks.push_back({p, p, 0.5 * p});
  }
  job.parts = {{"C1", {30, 22}, 2, 1, BoardSide::kTop, "cap"},
               {"U3", {11, 10}, 4, 4, BoardSide::kTop, "ic"}};
  return job;
}

TEST(SayWarmUnlisted, TellsHeatOfTheSupplyFromOther) {
  const Case job = ShortAtC1();
  Analysis analysis = Analyze(job, {});
  const double threshold = PlaceThreshold(analysis.response, {});
  const auto say = [&] {
    return SayWarmUnlisted(analysis.response, analysis.result, job.parts, threshold);
  };
  EXPECT_TRUE(say().empty());
  EXPECT_FALSE(testing::Says(analysis.result.advice, "Also warm"));
  // Warm in the map, of which the detector knows nothing.
  analysis.response.rise_k += 0.8 * testing::Blob(kSize, {22, 20}, 4);
  EXPECT_TRUE(testing::Says(
      say(), "Also warm in the map, but not shown to follow the supply's steps: near U3 ("))
      << say();
  // What the detector found and the list lacks.
  std::erase_if(analysis.result.candidates,
                [](const Candidate& c) { return cv::norm(c.frame_px - Point(60, 44)) < 4; });
  EXPECT_TRUE(testing::Says(say(), "with the supply, but no likely fault: near C1.")) << say();
}

}  // namespace
}  // namespace ohmglow
