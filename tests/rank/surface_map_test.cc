// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "surface_map.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <opencv2/imgproc.hpp>
#include <random>

#include "ohmglow/input/measured_frames.h"
#include "ohmglow/locate.h"
#include "support/plate_film.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(96, 72);
const Steps kSteps = {{6, 1.0}, {18, 2.0}, {32, 0.0}};
constexpr int kNumFrames = 160;
constexpr double kFrameS = 0.25;
constexpr double kPowerW = 0.15;
constexpr double kShiny = 0.3;
constexpr double kCameraPx = 0.7;
const cv::Point kSpot(61, 30);
// A can of 6 x 5 mm over the source, in whole pixels.
const cv::Rect kCan(55, 25, 12, 10);

SurfaceRegion Region(cv::Rect box, double emissivity) {
  const Point center(box.x + 0.5 * (box.width - 1), box.y + 0.5 * (box.height - 1));
  return {"can", false, center, double(box.width), double(box.height), emissivity};
}

// Temperatures that say which surface was taken out of them.
class Measured final : public MeasuredFrames {
 public:
  explicit Measured(std::vector<Image> frames_k, const SurfaceOptions& surface = {})
      : frames_(std::move(frames_k)), surface_(surface) {}
  [[nodiscard]] int count() const override { return frames_.count(); }
  [[nodiscard]] cv::Size size_px() const override { return frames_.size_px(); }
  void Read(int index, Image& kelvin) override { frames_.Read(index, kelvin); }
  [[nodiscard]] const SurfaceOptions& surface() const override { return surface_; }
  [[nodiscard]] std::optional<CountSteps> steps() const override { return std::nullopt; }

 private:
  MemoryFrames frames_;
  SurfaceOptions surface_;
};

void Tell(Case& job, std::vector<SurfaceRegion> regions) {
  dynamic_cast<MeasuredFrames&>(*job.frames).SetSurfaceRegions(std::move(regions));
}

// A warming board, part of it under a surface that shows less, behind the camera's blur; the
// reflection in that surface is the same all the time.
Case Film(double power_w, double emissivity, cv::Rect shiny = kCan) {
  Stack stack = testing::StillStack(kSize, kNumFrames, 1, kFrameS, 0);
  testing::PlateSource source;
  source.power_w = power_w;
  source.center_px = kSpot;
  testing::AddPlate(source, kSteps, stack);
  Image still(kSize, 0.0F);
  for (int y = 0; y < still.rows; ++y) {
    for (int x = 0; x < still.cols; ++x) {
      still(y, x) = static_cast<float>(0.6 * std::sin(0.45 * x) * std::cos(0.38 * y));
    }
  }
  Image shown(kSize, 1.0F);
  shown(shiny) = static_cast<float>(emissivity / Case().emissivity);
  still(shiny) -= 0.8F * (1 - shown(shiny.tl()));
  Case job;
  for (std::size_t i = 0; i < kNumFrames; ++i) {
    Image& frame = stack.bins_k[i];
    frame = Image(frame.mul(shown) + still);
    cv::GaussianBlur(frame, frame, {}, kCameraPx);
    frame += 296;
    job.frame_times_s.push_back(kFrameS * static_cast<double>(i));
  }
  std::mt19937 random(31);
  testing::AddNoise(random, 0.05, stack);
  job.frames = std::make_shared<Measured>(std::move(stack.bins_k));
  job.supply = testing::StepLog(kSteps, 38);
  job.clock_offset_s = 0;
  return job;
}

const Candidate& First(const LocateResult& result) { return result.candidates.at(0); }

TEST(SurfaceMap, GivesAShinyPlaceTheWattsAndRiseOfAPaintedOne) {
  const LocateResult painted = Locate(Film(kPowerW, Case().emissivity), {});
  Case job = Film(kPowerW, kShiny);
  const LocateResult untold = Locate(job, {});
  Tell(job, {Region(kCan, kShiny)});
  const LocateResult told = Locate(job, {});
  EXPECT_LT(First(untold).power_w, 0.8 * First(painted).power_w);
  EXPECT_LT(First(untold).rise_k, 0.5 * First(painted).rise_k);
  EXPECT_NEAR(First(told).power_w / First(painted).power_w, 1, 0.1);
  EXPECT_NEAR(First(told).rise_k / First(painted).rise_k, 1, 0.1);
  EXPECT_LT(First(told).power_low_w, kPowerW);
  EXPECT_GT(First(told).power_high_w, kPowerW);
  EXPECT_GT(First(told).power_high_w / First(told).power_w,
            First(painted).power_high_w / First(painted).power_w);
  EXPECT_LT(cv::norm(First(told).frame_px - Point(kSpot)), 1.0);
}

// What stands out is the same, so no edge of a region can become a place; nor do watts of places
// beside it change.
TEST(SurfaceMap, LeavesTheDetectorAndOtherPlacesAlone) {
  Case job = Film(kPowerW, kShiny, {10, 40, 30, 20});
  const LocateResult untold = Locate(job, {});
  Tell(job, {Region({10, 40, 30, 20}, kShiny), Region({2, 2, 10, 10}, 0.1)});
  const LocateResult told = Locate(job, {});
  EXPECT_EQ(cv::norm(told.snr, untold.snr, cv::NORM_INF), 0);
  EXPECT_EQ(told.verdict, untold.verdict);
  EXPECT_EQ(told.candidates.size(), untold.candidates.size());
  EXPECT_NEAR(First(told).power_w / First(untold).power_w, 1, 0.02);
  EXPECT_NEAR(First(told).rise_k, First(untold).rise_k, 1e-6);
}

TEST(RiseGain, DrawsRegionsOfPixelsAndOfTheBoardAlike) {
  Case job;
  job.frames = std::make_shared<Measured>(std::vector<Image>{Image(kSize, 296.0F)});
  BoardMaps maps;
  // Half a millimetre a pixel, the board's zero at pixel 4, 2.
  maps.board_from_frame = PlaneMap{{0.5, 0, -2, 0, 0.5, -1, 0, 0, 1}};
  Tell(job, {Region({20, 10, 12, 8}, 0.31)});
  const Image pixels = RiseGain(job, maps, kSize);
  EXPECT_NEAR(pixels(14, 26), 0.93 / 0.31, 1e-5);
  EXPECT_EQ(pixels(50, 70), 1);
  // On the edge of two pixels both are as much of either.
  EXPECT_NEAR(1 / pixels(14, 19) + 1 / pixels(14, 20), 1 + 0.31 / 0.93, 0.01);
  SurfaceRegion region = Region({20, 10, 12, 8}, 0.31);
  region.on_board = true;
  region.center = maps.board_from_frame->Apply(region.center);
  region.width *= 0.5;
  region.height *= 0.5;
  Tell(job, {region});
  EXPECT_LT(cv::norm(RiseGain(job, maps, kSize), pixels, cv::NORM_INF), 0.02);
  EXPECT_TRUE(RemarkOnRegions(job, maps).empty());
  EXPECT_TRUE(RiseGain(job, {}, kSize).empty());  // Nothing tells where that is.
  EXPECT_TRUE(testing::Says(RemarkOnRegions(job, {}), "not used for 1 place:"));
  Tell(job, {{"all", false, {0, 0}, 1e300, 1e300, 0.31}});
  EXPECT_NEAR(RiseGain(job, maps, kSize)(70, 90), 3, 1e-5);
  Tell(job, {});
  EXPECT_TRUE(RiseGain(job, maps, kSize).empty());
}

// A surface of 320 K and e = 0.3 in a room of 295 K, behind a window, read with e = 0.93.
TEST(ReadWithRegions, FindsTheTemperatureOfTheMeasurementEquation) {
  SurfaceOptions surface{
      .emissivity = 0.93, .reflected_k = 295, .window_transmission = 0.8, .window_k = 299};
  SurfaceOptions shiny = surface;
  shiny.emissivity = 0.3;
  const double read_k =
      ObjectTemperature(surface).FromApparent(ObjectTemperature(shiny).ToApparent(320));
  Case job;
  job.frames = std::make_shared<Measured>(std::vector<Image>{Image(1, 1, 296.0F)}, surface);
  Image picture(1, 1, static_cast<float>(read_k));
  ReadWithRegions(job, Image(1, 1, 0.93F / 0.3F), picture);
  EXPECT_NEAR(picture(0, 0), 320, 0.01);
  job.assumed = {{"surface.reflected_c", "23 degrees Celsius"}};
  Image untold(1, 1, static_cast<float>(read_k));
  ReadWithRegions(job, Image(1, 1, 0.93F / 0.3F), untold);
  EXPECT_EQ(untold(0, 0), static_cast<float>(read_k));
}

}  // namespace
}  // namespace ohmglow
