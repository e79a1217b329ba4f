// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/locate.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <random>
#include <string>

#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "support/plate_film.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(96, 72);
const Steps kSteps = {{6, 1.0}, {18, 2.0}, {32, 0.0}};
constexpr int kNumFrames = 160;
constexpr double kFrameS = 0.25;
constexpr double kOffsetS = 1.25;  // The supply's clock is that much behind.
constexpr int kShutterFrame = 90;

// What is cold on the board: known at every place.
float Texture(double x, double y) {
  return static_cast<float>(296 + 0.6 * std::sin(0.45 * x + 0.3) * std::cos(0.38 * y) +
                            0.4 * std::sin(0.13 * x - 0.52 * y));
}

// A board of 48 x 36 mm on a tripod, heated by the simulator's finite cells; a
// shutter event lifts all frames by 0.4 K.
Case Film(double power_w, cv::Point spot_px, cv::Point shift_px = {}, bool far = false) {
  Stack stack = testing::StillStack(kSize, kNumFrames, 1, kFrameS, 0);
  testing::PlateSource source;
  source.power_w = power_w;
  source.far = far;
  source.center_px = spot_px + shift_px;
  testing::AddPlate(source, kSteps, stack);
  std::mt19937 random(31);
  testing::AddNoise(random, 0.05, stack);
  Case job;
  for (std::size_t i = 0; i < kNumFrames; ++i) {
    Image& frame = stack.bins_k[i];
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) frame(y, x) += Texture(x - shift_px.x, y - shift_px.y);
    }
    if (i >= kShutterFrame) frame += 0.4;
    job.frame_times_s.push_back(kFrameS * static_cast<double>(i));
  }
  job.frames = std::make_shared<MemoryFrames>(std::move(stack.bins_k));
  Steps on_log = kSteps;
  for (auto& step : on_log) step.first -= kOffsetS;
  job.supply = testing::StepLog(on_log, 38);
  job.title = "Invented board";
  return job;
}

TEST(Locate, FindsTheHotPlaceWithinAPixel) {
  const LocateResult result = Locate(Film(0.15, {61, 30}), {});
  EXPECT_EQ(result.verdict, Verdict::kFound);
  ASSERT_FALSE(result.candidates.empty());
  const Candidate& first = result.candidates.front();
  EXPECT_LT(cv::norm(first.frame_px - Point(61, 30)), 1.0);
  EXPECT_GT(first.confidence, 0.7);
  EXPECT_NE(first.side, HeatSide::kFar);
  EXPECT_GT(first.power_high_w, 0.15);
  EXPECT_LT(first.power_low_w, 0.15);
  EXPECT_NEAR(first.current_exponent.value(), 2, 0.4);
  EXPECT_NEAR(result.noise_per_frame_k, 0.05 * 0.93, 0.004);
  EXPECT_LT(result.detectable_w, 0.15);
  EXPECT_EQ(result.response_k.size(), kSize);
}

TEST(Locate, DescribesTheSupplyOnTheFramesClock) {
  const LocateResult result = Locate(Film(0.15, {61, 30}), {});
  EXPECT_NEAR(result.clock_offset_s.value(), kOffsetS, 0.5);
  ASSERT_EQ(result.levels.size(), 4U);
  EXPECT_EQ(result.levels[2].amps_a, 2);
  EXPECT_NEAR(result.levels[2].start_s, 18, 0.5);
  EXPECT_NEAR(result.rate_hz, 4, 1e-9);
}

TEST(Locate, TakesAGivenClockAsItIs) {
  Case job = Film(0.15, {61, 30});
  job.clock_offset_s = kOffsetS;
  const LocateResult result = Locate(job, {});
  EXPECT_EQ(result.clock_offset_s, kOffsetS);
  EXPECT_FALSE(result.clock_offset_sigma_s.has_value());
  EXPECT_NEAR(result.levels[2].start_s, 18, 1e-6);
}

// Currents in order, no log and no times: what the log told comes from the frames.
TEST(Locate, FindsTheTimesOfNotedLevels) {
  Case job = Film(0.15, {61, 30});
  job.supply.reset();
  job.levels = {{0}, {1}, {2}, {0}};
  job.most_volts_v = 0.05;
  const LocateResult result = Locate(job, {});
  EXPECT_EQ(result.verdict, Verdict::kFound);
  ASSERT_FALSE(result.candidates.empty());
  const Candidate& first = result.candidates.front();
  EXPECT_LT(cv::norm(first.frame_px - Point(61, 30)), 1.0);
  EXPECT_NEAR(first.current_exponent.value(), 2, 0.4);
  EXPECT_FALSE(result.clock_offset_s.has_value());
  ASSERT_EQ(result.levels.size(), 4U);
  for (std::size_t k = 0; k < kSteps.size(); ++k) {
    EXPECT_NEAR(result.levels[k + 1].start_s, kSteps[k].first, 0.5) << k;
    EXPECT_GT(result.levels[k + 1].start_sigma_s.value(), 0) << k;
  }
  // 50 mV at 2 A are 100 mW; of a share a setting says nothing.
  EXPECT_LE(first.power_w, 0.1 + 1e-9);
  EXPECT_FALSE(first.share_of_supply.has_value());
  EXPECT_FALSE(result.supply_path.has_value());
}

// A current that was mistyped: the frames know better when something was switched.
TEST(Locate, FollowsTheFramesWhereTheNotedLevelsDoNotFitThem) {
  Case job = Film(0.15, {61, 30});
  job.supply.reset();
  job.levels = {{0}, {20}, {2}, {30}};
  const LocateResult result = Locate(job, {});
  EXPECT_FALSE(result.currents_known);
  EXPECT_EQ(result.verdict, Verdict::kFound);
  ASSERT_FALSE(result.candidates.empty());
  const Candidate& first = result.candidates.front();
  EXPECT_LT(cv::norm(first.frame_px - Point(61, 30)), 1.0);
  EXPECT_FALSE(first.current_exponent.has_value());
  EXPECT_TRUE(testing::Says(result.supply_remarks, "do not fit the frames"));
  EXPECT_FALSE(testing::Says(result.supply_remarks, "was not noted"));
}

// Nor an order that was turned round: the first advice is to look at the list.
TEST(Locate, NamesNoPlaceFromLevelsInAWrongOrder) {
  Case job = Film(0.15, {61, 30});
  job.supply.reset();
  job.levels = {{2}, {1}, {0}};
  const LocateResult result = Locate(job, {});
  EXPECT_FALSE(result.currents_known);
  ASSERT_FALSE(result.candidates.empty());
  EXPECT_LT(cv::norm(result.candidates.front().frame_px - Point(61, 30)), 1.0);
  ASSERT_FALSE(result.advice.empty());
  EXPECT_EQ(result.advice.front().kind, RemarkKind::kLevelsDoNotFit);
}

// A junction of 0.1 V and 0.18 Ohm whose log has its columns swapped: as it stands, volts would be
// below zero at no current.
TEST(Locate, TellsVoltsAndAmpsThatAreSwapped) {
  Case job = Film(0.15, {61, 30});
  const auto swapped = [](const LocateResult& result) {
    return std::any_of(
        result.advice.begin(), result.advice.end(), IsOf(RemarkKind::kColumnsPerhapsSwapped));
  };
  for (std::size_t i = 0; i < job.supply->amps_a.size(); ++i) {
    double& amps_a = job.supply->amps_a[i];
    amps_a *= 1.03;  // Whole numbers would look like a meter that shows no more.
    job.supply->volts_v[i] = amps_a > 0 ? 0.1 + 0.18 * amps_a : 0;
  }
  EXPECT_FALSE(swapped(Locate(job, {})));
  std::swap(job.supply->volts_v, job.supply->amps_a);
  EXPECT_TRUE(swapped(Locate(job, {})));
}

// Volts that were noted bound a power only where the current is known.
TEST(Locate, TakesNoBoundFromVoltsWhereNoCurrentIsKnown) {
  Case job = Film(0.15, {61, 30});
  job.supply.reset();
  const double free_w = Locate(job, {}).candidates.at(0).power_w;
  job.most_volts_v = 0.02;
  EXPECT_EQ(Locate(job, {}).candidates.at(0).power_w, free_w);
}

// Times fitted to a board on which nothing warms are no evidence.
TEST(Locate, CallsNothingAFaultWhereTheLevelsDoNotShow) {
  Case job = Film(0, {61, 30});
  job.supply.reset();
  job.levels = {{0}, {1}, {2}, {0}};
  const LocateResult result = Locate(job, {});
  EXPECT_EQ(result.verdict, Verdict::kNone);
  ASSERT_FALSE(result.supply_remarks.empty());
  EXPECT_TRUE(testing::Says(result.supply_remarks.front(), "times are guesses"));
}

// The rise is read before the switch-off, whichever bin the clock puts that in.
TEST(Locate, ReadsTheRiseBeforeTheSwitchOff) {
  Case job = Film(0.15, {61, 30});
  double least_k = 1e9;
  double most_k = 0;
  for (const double error_s : {-0.1, 0.0, 0.1, 0.2}) {
    job.clock_offset_s = kOffsetS + error_s;
    const double rise_k = Locate(job, {}).candidates.at(0).rise_k;
    least_k = std::min(least_k, rise_k);
    most_k = std::max(most_k, rise_k);
  }
  EXPECT_LT(most_k, 1.15 * least_k);
}

// Half of a spot on the rim is seen: its middle may lie beyond.
TEST(Locate, DoubtsThePlaceAtTheRim) {
  const LocateResult result = Locate(Film(0.15, {0, 30}), {});
  ASSERT_FALSE(result.candidates.empty());
  const Candidate& first = result.candidates.front();
  EXPECT_LT(std::abs(first.frame_px.x), 2 * first.sigma_px);
  EXPECT_TRUE(testing::Says(first.remarks.front(), "may lie beyond"));
}

TEST(Locate, StatesNoMorePowerThanTheSupplyDelivers) {
  Case job = Film(0.15, {61, 30});
  for (double& volts : job.supply->volts_v) volts *= 0.05;  // 0.03 V at 2 A
  const Candidate first = Locate(job, {}).candidates.at(0);
  EXPECT_NEAR(first.power_w, 0.06, 1e-9);
  EXPECT_LE(first.power_high_w, 0.06 + 1e-9);
  EXPECT_LE(first.power_low_w, first.power_w);
  EXPECT_EQ(first.share_of_supply.value(), 1);
  EXPECT_TRUE(testing::Says(first.remarks, "the supply delivers"));
}

// A camera's range ends somewhere: what is hotter reads as nothing at all.
TEST(Locate, FindsWhatGoesBeyondTheCamerasRange) {
  for (const float range_k : {340.0F, 320.0F}) {
    Case job = Film(2, {61, 30});
    std::vector<Image> frames;
    for (int i = 0; i < job.frames->count(); ++i) {
      Image frame;
      job.frames->Read(i, frame);
      frame.setTo(std::numeric_limits<float>::quiet_NaN(), frame > range_k);
      frames.push_back(frame.clone());
    }
    job.frames = std::make_shared<MemoryFrames>(std::move(frames));
    const LocateResult result = Locate(job, {});
    EXPECT_EQ(result.verdict, Verdict::kFound);
    ASSERT_FALSE(result.candidates.empty());
    const Candidate& first = result.candidates.front();
    EXPECT_LT(cv::norm(first.frame_px - Point(61, 30)), 0.7) << range_k;
    EXPECT_GT(first.rise_k, 0.7 * (range_k - 297)) << range_k;
    EXPECT_LT(first.rise_k, range_k - 290);
    EXPECT_TRUE(testing::Says(first.remarks, "less current"));
  }
}

// The supply went on writing, and fed another test, after the camera stopped.
TEST(Locate, IsNotMisledByWhatTheSupplyDidLater) {
  const Candidate usual = Locate(Film(0.15, {61, 30}), {}).candidates.at(0);
  Steps on_log = kSteps;
  on_log.insert(on_log.end(), {{60, 4.0}, {75, 0.0}});
  for (auto& step : on_log) step.first -= kOffsetS;
  for (const double end_s : {80.0, 2400.0}) {
    Case job = Film(0.15, {61, 30});
    job.supply = testing::StepLog(on_log, end_s);
    const LocateResult result = Locate(job, {});
    const Candidate& first = result.candidates.at(0);
    EXPECT_NEAR(first.power_w, usual.power_w, 0.05 * usual.power_w);
    EXPECT_NEAR(first.rise_k, usual.rise_k, 0.05 * usual.rise_k);
    EXPECT_EQ(result.levels.size(), 4U);
  }
}

TEST(Locate, SaysNoneWhereNothingIsWarm) {
  const LocateResult result = Locate(Film(0, {61, 30}), {});
  EXPECT_EQ(result.verdict, Verdict::kNone);
  EXPECT_FALSE(result.advice.empty());
}

// A picture moved by whole pixels moves the answer by as much.
TEST(Locate, MovesWithTheScene) {
  const Point before = Locate(Film(0.15, {55, 30}), {}).candidates.at(0).frame_px;
  const Point after = Locate(Film(0.15, {55, 30}, {5, 3}), {}).candidates.at(0).frame_px;
  EXPECT_NEAR(after.x - before.x, 5, 0.2);
  EXPECT_NEAR(after.y - before.y, 3, 0.2);
}

TEST(Locate, GivesTheSameBytesTwice) {
  const Case job = Film(0.05, {40, 40});
  const std::string first = ToJson(Locate(job, {}));
  EXPECT_EQ(first, ToJson(Locate(job, {})));
  EXPECT_GT(first.size(), 500U);
}

TEST(Locate, ReportsItsProgressInOrder) {
  std::vector<double> shares;
  LocateOptions options;
  options.progress = [&](double share) { shares.push_back(share); };
  static_cast<void>(Locate(Film(0.15, {61, 30}), options));
  ASSERT_GT(shares.size(), 3U);
  EXPECT_TRUE(std::is_sorted(shares.begin(), shares.end()));
  EXPECT_GE(shares.front(), 0);
  EXPECT_EQ(shares.back(), 1);
}

std::string MessageOf(const Case& job) {
  try {
    static_cast<void>(Locate(job, {}));
  } catch (const DataError& error) {
    return error.what();
  }
  return "";
}

TEST(Locate, SaysWhatACaseLacks) {
  Case job = Film(0, {61, 30});
  job.supply.reset();
  EXPECT_NE(MessageOf(job).find("no supply log"), std::string::npos);
  job.frames.reset();
  EXPECT_NE(MessageOf(job).find("no frames"), std::string::npos);
  job = Film(0, {61, 30});
  job.supply = SupplyLog{{0, 20, 40}, {1, 1, 1}, {2, 2, 2}};
  EXPECT_NE(MessageOf(job).find("no current step"), std::string::npos);
  job = Film(0, {61, 30});
  for (double& time_s : job.supply->time_s) time_s += 5000;  // a log of another day
  EXPECT_NE(MessageOf(job).find("while the frames were taken"), std::string::npos);
}

TEST(Locate, ChecksItsOptionsFirst) {
  LocateOptions options;
  options.heat.max_bins = 3;
  EXPECT_THROW(static_cast<void>(Locate(Case{}, options)), OptionError);
}

}  // namespace
}  // namespace ohmglow
