// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/compare/compare.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>
#include <string>

#include "ohmglow/base/error.h"
#include "support/plate_film.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(96, 72);
constexpr int kNumFrames = 160;
constexpr double kFrameS = 0.25;
constexpr double kMm = 0.5;
const cv::Point kFault(61, 30);
// Where AFTER's camera stands: so many pixels beside BEFORE's.
const cv::Point kShift(5, 3);

// What is cold on the board: known at every place.
float Texture(double x, double y) {
  return static_cast<float>(296 + 0.6 * std::sin(0.45 * x + 0.3) * std::cos(0.38 * y) +
                            0.4 * std::sin(0.13 * x - 0.52 * y));
}

Steps StepsUpTo(double amps) { return {{6, 0.5 * amps}, {18, amps}, {32, 0.0}}; }

std::vector<Landmark> Landmarks(cv::Point shift) {
  std::vector<Landmark> marks;
  for (const Point at : {Point(8, 8), Point(84, 10), Point(80, 62), Point(10, 60)}) {
    marks.push_back({at + Point(shift), at * 8, Point(at * kMm)});
  }
  return marks;
}

struct Heat {
  double power_w = 0;  // At the capture's highest current.
  cv::Point at_px;     // In BEFORE's view.
};

// A board of 48 x 36 mm on a tripod, heated by the simulator's finite cells.
Case Film(const std::vector<Heat>& heats, double amps, cv::Point shift, unsigned seed) {
  Stack stack = testing::StillStack(kSize, kNumFrames, 1, kFrameS, 0);
  for (const Heat& heat : heats) {
    testing::PlateSource source;
    source.power_w = heat.power_w;
    source.center_px = heat.at_px + shift;
    testing::AddPlate(source, StepsUpTo(amps), stack);
  }
  std::mt19937 random(seed);
  testing::AddNoise(random, 0.05, stack);
  Case job;
  for (std::size_t i = 0; i < kNumFrames; ++i) {
    Image& frame = stack.bins_k[i];
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) frame(y, x) += Texture(x - shift.x, y - shift.y);
    }
    job.frame_times_s.push_back(kFrameS * static_cast<double>(i));
  }
  job.frames = std::make_shared<MemoryFrames>(std::move(stack.bins_k));
  job.supply = testing::StepLog(StepsUpTo(amps), 38);
  job.clock_offset_s = 0;
  job.landmarks = Landmarks(shift);
  job.title = "Invented board";
  return job;
}

const Case& Before() {
  static const Case kJob = Film({{0.15, kFault}}, 2, {}, 31);
  return kJob;
}

CompareResult CompareWith(const Case& after) { return Compare(Before(), after, {}, {}); }

TEST(Compare, SeesThatTheFaultIsGone) {
  Case after = Film({}, 2, kShift, 32);
  for (double& volts : after.supply->volts_v) volts *= 2;  // A short less: more resistance.
  const CompareResult result = CompareWith(after);
  EXPECT_EQ(result.verdict, CompareVerdict::kRepaired);
  EXPECT_NEAR(result.resistance.change_ohm.value(), testing::kLogOhm, 1e-3);
  EXPECT_GT(result.probability, 0.8);
  ASSERT_FALSE(result.places.empty());
  const ComparedPlace& place = result.places.front();
  EXPECT_EQ(place.name, "A");
  EXPECT_EQ(place.change, PlaceChange::kGone);
  EXPECT_LT(cv::norm(place.before_px - Point(kFault)), 1);
  EXPECT_LT(cv::norm(place.after_px - Point(kFault + kShift)), 1);
  EXPECT_NEAR(place.ratio.value(), 0, 0.1);
  EXPECT_GT(place.after_below_w.value(), 0);
  EXPECT_LT(place.after_below_w.value(), 0.15 * 0.15);
  EXPECT_TRUE(result.alignment.from_points);
  EXPECT_NEAR(result.alignment.after_from_before.matrix(0, 2), kShift.x, 0.3);
  EXPECT_NEAR(result.alignment.after_from_before.matrix(1, 2), kShift.y, 0.3);
  EXPECT_EQ(result.scale_amps_a, 2);
}

// At half the current the same fault has a quarter of the power, and is the same.
TEST(Compare, SeesTheSameFaultAtAnotherCurrent) {
  const CompareResult result = CompareWith(Film({{0.15 / 4, kFault}}, 1, kShift, 33));
  EXPECT_EQ(result.verdict, CompareVerdict::kNotRepaired);
  ASSERT_FALSE(result.places.empty());
  const ComparedPlace& place = result.places.front();
  EXPECT_EQ(place.change, PlaceChange::kUnchanged);
  EXPECT_NEAR(place.ratio.value(), 1, std::max(0.15, 3 * place.ratio_sigma.value()));
  EXPECT_NEAR(place.after_w.value(), place.before_w.value(), 0.2 * place.before_w.value());
  // One scale: the same board is as warm at the same current.
  EXPECT_NEAR(result.after_k(kFault), result.before_k(kFault), 0.2 * result.before_k(kFault));
  EXPECT_NEAR(result.resistance.before_ohm.value(), testing::kLogOhm, 1e-3);
  EXPECT_NEAR(result.resistance.change_ohm.value(), 0, 1e-3);
}

// A tenth of the current is a hundredth of the power: of a small fault nothing
// can be seen then, whether it is there or not.
TEST(Compare, NeverCallsRepairedWhatItCouldNotSee) {
  constexpr double kSmallW = 0.002;
  const Case before = Film({{kSmallW, kFault}}, 2, {}, 31);
  for (const double power_w : {kSmallW / 100, 0.0}) {
    const CompareResult result =
        Compare(before, Film({{power_w, kFault}}, 0.2, kShift, 34), {}, {});
    ASSERT_FALSE(result.places.empty());
    EXPECT_TRUE(result.places.front().suspect);
    EXPECT_GT(result.places.front().ratio_sigma.value(), 0.36);
    EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
    ASSERT_FALSE(result.words.empty());
    EXPECT_TRUE(testing::Says(result.words.front(), "A instead of 0.2 A")) << result.words.front();
  }
}

// Steps of unknown currents tell no watts that could be compared.
TEST(Compare, RefusesCurrentsThatDoNotFitTheFrames) {
  Case after = Film({{0.15, kFault}}, 2, kShift, 35);
  after.supply.reset();
  after.clock_offset_s.reset();
  after.levels = {{0}, {20}, {2}, {30}};
  try {
    static_cast<void>(CompareWith(after));
    FAIL() << "compared at currents that nobody knows";
  } catch (const DataError& error) {
    EXPECT_NE(std::string(error.what()).find("the second capture: the currents that were given"),
              std::string::npos)
        << error.what();
  }
}

TEST(Compare, SeesAnotherPlaceComeUp) {
  const cv::Point other(28, 48);
  const CompareResult result = CompareWith(Film({{0.06, other}}, 1, kShift, 35));
  EXPECT_EQ(result.verdict, CompareVerdict::kNewPlace);
  ASSERT_GE(result.places.size(), 2U);
  EXPECT_EQ(result.places.front().change, PlaceChange::kGone);
  const auto found = std::find_if(result.places.begin(), result.places.end(), [](const auto& p) {
    return p.change == PlaceChange::kNew;
  });
  ASSERT_NE(found, result.places.end());
  EXPECT_LT(cv::norm(found->before_px - Point(other)), 1);
  EXPECT_TRUE(found->suspect);
  // Stated at BEFORE's 2 A: four times what it took at 1 A.
  EXPECT_NEAR(found->after_w.value(), 0.24, 0.3 * 0.24);
  EXPECT_EQ(found->photo_px.has_value(), true);
}

// Nothing was touched between the two, only the noise is another.
TEST(Compare, FindsNoChangeWhereNothingWasTouched) {
  const CompareResult result = CompareWith(Film({{0.15, kFault}}, 2, {}, 37));
  EXPECT_EQ(result.verdict, CompareVerdict::kNotRepaired);
  EXPECT_NEAR(result.places.at(0).ratio.value(), 1, 0.02);
  EXPECT_NEAR(result.alignment.scale, 1, 1e-3);
  EXPECT_NEAR(result.alignment.rotation_deg, 0, 0.05);
  EXPECT_EQ(result.places.at(0).change, PlaceChange::kUnchanged);
}

TEST(Compare, ReportsRegionsOfBothCaptures) {
  const std::vector<Region> regions = {{"middle", {30, 15}, 6, 6}, {"beyond", {200, 15}, 6, 6}};
  Case silent = Film({}, 2, kShift, 36);
  silent.supply.reset();
  const CompareResult result = Compare(Before(), silent, regions, {});
  EXPECT_TRUE(result.before_k.empty());
  ASSERT_EQ(result.regions.size(), 2U);
  const ComparedRegion& middle = result.regions.front();
  EXPECT_EQ(middle.name, "middle");
  EXPECT_GT(middle.before->max_c, middle.after->max_c + 0.3);
  EXPECT_GT(middle.before->spread_k, middle.after->spread_k);
  // Without heat the texture's mean, read here without the product.
  double sum = 0;
  for (int y = 24; y <= 36; ++y) {
    for (int x = 54; x <= 66; ++x) sum += Texture(x, y) / 169;
  }
  EXPECT_NEAR(middle.after->mean_c, sum - 273.15, 0.05);
  EXPECT_FALSE(result.regions.back().before.has_value());
}

std::string MessageOf(const Case& before, const Case& after, const std::vector<Region>& regions) {
  try {
    static_cast<void>(Compare(before, after, regions, {}));
  } catch (const DataError& error) {
    return error.what();
  }
  return "";
}

TEST(Compare, SaysWhatThePairLacks) {
  Case other_side = Before();
  other_side.side = BoardSide::kBottom;
  EXPECT_NE(MessageOf(Before(), other_side, {}).find("different sides"), std::string::npos);
  Case without_points = Before();
  without_points.landmarks.clear();
  const std::vector<Region> regions = {{"middle", {30, 15}, 6, 6}};
  EXPECT_NE(MessageOf(without_points, Before(), regions).find("landmarks"), std::string::npos);
  Case silent = Before();
  silent.supply.reset();
  EXPECT_NE(MessageOf(Before(), silent, {}).find("second capture: the case has no supply log"),
            std::string::npos);
  EXPECT_NE(MessageOf(silent, Before(), {}).find("first capture: the case has no supply log"),
            std::string::npos);
  Case dead = Before();
  std::fill(dead.supply->amps_a.begin(), dead.supply->amps_a.end(), 0);
  EXPECT_NE(
      MessageOf(Before(), dead, {}).find("second capture: the supply log shows no current step"),
      std::string::npos);
  EXPECT_NE(MessageOf(Case{}, Before(), {}).find("no frames"), std::string::npos);
}

TEST(Compare, ChecksItsOptionsFirst) {
  CompareOptions options;
  options.gone_share = 1;
  EXPECT_THROW(static_cast<void>(Compare(Case{}, Case{}, {}, options)), OptionError);
}

// The log of the first capture beside the frames of the second, say.
TEST(Compare, DoubtsARepairThatLeftTheResistanceAsItWas) {
  const CompareResult result = CompareWith(Film({}, 2, kShift, 32));
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  ASSERT_FALSE(result.words.empty());
  EXPECT_TRUE(testing::Says(result.words.front(), "same resistance"));
}

TEST(Compare, SaysWhereBothAreTheSameCapture) {
  const CompareResult result = CompareWith(Before());
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  ASSERT_EQ(result.words.size(), 1U);
  EXPECT_TRUE(testing::Says(result.words.front(), "same capture"));
}

TEST(Compare, RefusesPartsListsOfTwoBoards) {
  Case before = Before();
  Case after = Film({}, 2, kShift, 32);
  before.parts = {{"C1", {10, 10}, 2, 1, BoardSide::kTop, ""},
                  {"C2", {20, 10}, 2, 1, BoardSide::kTop, ""}};
  after.parts = {{"C1", {15, 30}, 2, 1, BoardSide::kTop, ""},
                 {"R7", {20, 10}, 2, 1, BoardSide::kTop, ""}};
  EXPECT_THROW((void)Compare(before, after, {}, {}), DataError);
  after.parts = before.parts;
  EXPECT_NO_THROW((void)Compare(before, after, {}, {}));
}

TEST(Compare, AsksForTheOrderWhereOnlyTheSecondShowsAFault) {
  const CompareResult result =
      Compare(Film({}, 2, {}, 32), Film({{0.15, kFault}}, 2, kShift, 31), {}, {});
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  ASSERT_GE(result.words.size(), 2U);
  EXPECT_TRUE(testing::Says(result.words[1], "wrong order"));
}

}  // namespace
}  // namespace ohmglow
