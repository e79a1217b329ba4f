// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "ohmglow/base/error.h"
#include "ohmglow/picture/growth_report.h"
#include "ohmglow/picture/report.h"
#include "picture/axis.h"
#include "picture/growth_layout.h"
#include "picture/growth_numbers.h"
#include "support/sample_result.h"

namespace ohmglow {
namespace {

using internal::AxisRange;
using internal::GrowthNumbers;

// Two levels; the measured points lie 0.01 K beside what was fitted.
LocateResult WithCourse(double scale = 1) {
  LocateResult result = testing::MakeSampleResult({});
  result.levels = {{0, 5, 0, 0}, {5, 12, 1, 0.2}, {12, 20, 2, 0.4}};
  Candidate& first = result.candidates[0];
  first.growth.clear();
  for (int i = 0; i <= 20; ++i) {
    const double amps_a = i < 5 ? 0 : i < 12 ? 1 : 2;
    const double fit_k = scale * 0.25 * amps_a * amps_a;
    GrowthPoint point{
        1.0 * i, amps_a, fit_k + scale * (i % 2 == 0 ? 0.01 : -0.01), 3.0 * i, 2.0 * i};
    point.fit_k = fit_k;
    point.fit_sigma_k = scale * 0.02;
    first.growth.push_back(point);
  }
  first.levels = {{1, scale * 0.26, scale * 0.02}, {2, scale * 1.0, scale * 0.02}};
  return result;
}

TEST(RoundStep, IsOneTwoOrFiveTimesAPowerOfTen) {
  EXPECT_DOUBLE_EQ(internal::RoundStep(10, 10), 1);
  EXPECT_DOUBLE_EQ(internal::RoundStep(10, 9), 2);
  EXPECT_DOUBLE_EQ(internal::RoundStep(0.8, 4), 0.2);
  EXPECT_DOUBLE_EQ(internal::RoundStep(37, 10), 5);
  EXPECT_NEAR(internal::RoundStep(0.0031, 4), 0.001, 1e-15);
}

TEST(AxisRange, TicksAreWholeStepsWithinTheRange) {
  const std::vector<double> ticks = AxisRange{-0.13, 0.71}.Ticks(5);
  ASSERT_EQ(ticks.size(), 4U);
  for (std::size_t i = 0; i < ticks.size(); ++i) {
    EXPECT_NEAR(ticks[i], 0.2 * static_cast<double>(i), 1e-12);
  }
  EXPECT_EQ(ticks[0], 0);
  EXPECT_EQ(internal::TickText(ticks[3]), "0.6");
  EXPECT_EQ(internal::TickText(-2.5), "\u22122.5");
  EXPECT_EQ(internal::TickText(0), "0");
}

TEST(RangeFromZero, HoldsZeroAndLeavesRoom) {
  const std::vector<double> values{0.5, -0.1, std::nan(""), 0.9};
  const AxisRange range = internal::RangeFromZero(values, 0.1);
  EXPECT_NEAR(range.low, -0.1 - 0.08, 1e-12);
  EXPECT_NEAR(range.high, 0.9 + 0.08, 1e-12);
  const AxisRange nothing = internal::RangeFromZero({}, 0.5);
  EXPECT_EQ(nothing.low, 0);
  EXPECT_EQ(nothing.high, 0.5);
}

TEST(MakeGrowthNumbers, KeepsTheCourseAndPutsTheCurveIntoItsBand) {
  const LocateResult result = WithCourse();
  const GrowthNumbers numbers = internal::MakeGrowthNumbers(result, result.candidates[0]);
  EXPECT_EQ(numbers.rise_unit, "K");
  ASSERT_EQ(numbers.measured.size(), 21U);
  EXPECT_NEAR(numbers.measured[20].y, 1.01, 1e-12);
  ASSERT_EQ(numbers.fit.middle.size(), 21U);
  for (std::size_t i = 0; i < 21; ++i) {
    EXPECT_NEAR(numbers.fit.high[i].y - numbers.fit.middle[i].y, 1.96 * 0.02, 1e-12);
    EXPECT_NEAR(numbers.fit.middle[i].y - numbers.fit.low[i].y, 1.96 * 0.02, 1e-12);
    EXPECT_EQ(numbers.fit.middle[i].x, numbers.measured[i].x);
  }
  EXPECT_EQ(numbers.time_s.low, 0);
  EXPECT_EQ(numbers.time_s.high, 20);
  EXPECT_NEAR(numbers.rise.high, 1.0392 + 0.08 * (1.0392 + 0.0392), 1e-4);
  EXPECT_NEAR(numbers.area_mm2.high, 60 * 1.08, 1e-9);
  ASSERT_EQ(numbers.steps.size(), 6U);
  EXPECT_EQ(numbers.steps[3], Point(12, 1));
  EXPECT_EQ(numbers.steps[4], Point(12, 2));
}

// Found from the other side alone: another capture's course and current.
TEST(MakeGrowthNumbers, TakesTheCoursesOwnCurrentWhereTheLevelsAreAnothers) {
  LocateResult result = WithCourse();
  for (GrowthPoint& point : result.candidates[0].growth) point.amps_a *= 3;
  GrowthNumbers numbers = internal::MakeGrowthNumbers(result, result.candidates[0]);
  ASSERT_EQ(numbers.steps.size(), 40U);
  EXPECT_EQ(numbers.steps.back(), Point(20, 6));
  result = WithCourse();
  for (GrowthPoint& point : result.candidates[0].growth) point.time_s += 100;
  numbers = internal::MakeGrowthNumbers(result, result.candidates[0]);
  EXPECT_EQ(numbers.steps.front(), Point(100, 0));
  EXPECT_EQ(numbers.steps.back(), Point(120, 2));
}

TEST(MakeGrowthNumbers, DrawsTheFittedExponentThroughTheLevels) {
  const LocateResult result = WithCourse();  // Exponent 2.02 +- 0.05.
  const GrowthNumbers numbers = internal::MakeGrowthNumbers(result, result.candidates[0]);
  ASSERT_EQ(numbers.levels.size(), 2U);
  EXPECT_NEAR(numbers.levels[0].high - numbers.levels[0].low, 2 * 1.96 * 0.02, 1e-12);
  const auto& curve = numbers.power_law;
  ASSERT_EQ(curve.middle.size(), 61U);
  // Least squares of two equal errors: (s 0.26 + 1) / (s^2 + 1), s = 2^-2.02.
  const double s = std::pow(2.0, -2.02);
  const double top = (s * 0.26 + 1) / (s * s + 1);
  EXPECT_NEAR(curve.middle[60].y, top, 1e-9);
  EXPECT_NEAR(curve.middle[30].y, top * s, 1e-9);
  EXPECT_NEAR(curve.low[30].y, top * std::pow(2.0, -2.02 - 0.098), 1e-9);
  EXPECT_NEAR(curve.high[30].y, top * std::pow(2.0, -2.02 + 0.098), 1e-9);
  EXPECT_EQ(curve.middle[0].y, 0);
  for (std::size_t i = 0; i <= 60; ++i) {
    EXPECT_LE(curve.low[i].y, curve.middle[i].y);
    EXPECT_LE(curve.middle[i].y, curve.high[i].y);
  }
}

TEST(MakeGrowthNumbers, SpeaksOfMillikelvinWhereItIsFaint) {
  const LocateResult result = WithCourse(0.05);
  const GrowthNumbers numbers = internal::MakeGrowthNumbers(result, result.candidates[0]);
  EXPECT_EQ(numbers.rise_unit, "mK");
  EXPECT_NEAR(numbers.measured[20].y, 50.5, 1e-9);
  EXPECT_NEAR(numbers.levels[1].rise, 50, 1e-9);
}

TEST(ExponentWords, SayWhatTheNumberMeans) {
  const auto words = [](double exponent, double sigma) {
    Candidate candidate;
    candidate.current_exponent = exponent;
    candidate.current_exponent_sigma = sigma;
    return internal::ExponentWords(candidate);
  };
  EXPECT_NE(words(2.05, 0.05).find("resistance, as a short is"), std::string::npos);
  EXPECT_NE(words(1.02, 0.05).find("junction, a diode"), std::string::npos);
  EXPECT_NE(words(1.5, 0.2).find("between"), std::string::npos);
  EXPECT_NE(words(3.4, 0.1).find("neither"), std::string::npos);
  EXPECT_NE(words(2.0, 0.6).find("too faint"), std::string::npos);
  EXPECT_EQ(internal::ExponentWords(Candidate{}), "");
  // However narrow the exponent claims to be.
  Candidate faint;
  faint.current_exponent = 2.0;
  faint.current_exponent_sigma = 0.05;
  faint.levels = {{1, 0.01, 0.02}, {2, 0.04, 0.02}};
  EXPECT_EQ(internal::ExponentWords(faint).find("Too faint to read"), 0U);
  EXPECT_EQ(internal::ExponentWords(faint).find("resistance"), std::string::npos);
}

// The table is what result.json has, number by number.
TEST(ToGrowthCsv, HoldsTheNumbersOfTheJson) {
  const LocateResult result = WithCourse(0.123456);
  const auto json = nlohmann::json::parse(ToJson(result));
  std::istringstream lines(ToGrowthCsv(result));
  std::string line;
  std::getline(lines, line);
  ASSERT_EQ(line, "candidate,time_s,amps,rise_k,area_mm2,heat_k_mm2,fit_k,fit_sigma_k");
  const char* keys[] = {
      "time_s", "amps", "rise_k", "area_mm2", "heat_k_mm2", "fit_k", "fit_sigma_k"};
  for (const auto& candidate : json["candidates"]) {
    for (const auto& point : candidate["growth"]) {
      ASSERT_TRUE(std::getline(lines, line));
      std::istringstream cells(line);
      std::string cell;
      std::getline(cells, cell, ',');
      EXPECT_EQ(std::stoi(cell), candidate["rank"].get<int>());
      for (const char* key : keys) {
        std::getline(cells, cell, ',');
        ASSERT_EQ(cell.empty(), !point.contains(key)) << key;
        if (!cell.empty()) {
          EXPECT_EQ(std::stod(cell), point[key].get<double>()) << key;
        }
      }
    }
  }
  EXPECT_FALSE(std::getline(lines, line));
}

TEST(LayOutGrowth, KeepsAllInsideAndApart) {
  LocateResult result = WithCourse();
  result.title = std::string(300, 'W');
  const GrowthNumbers numbers = internal::MakeGrowthNumbers(result, result.candidates[0]);
  const internal::GrowthLayout layout = internal::LayOutGrowth(result, 1, numbers);
  const cv::Rect2d page(0, 0, layout.canvas_px.width, layout.canvas_px.height);
  std::vector<cv::Rect2d> boxes;
  for (const auto* text : layout.texts()) boxes.push_back(text->box);
  for (const auto* panel : layout.panels()) boxes.push_back(panel->plot);
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    EXPECT_NEAR((boxes[i] & page).area(), boxes[i].area(), 1e-6) << i;
    for (std::size_t j = 0; j < i; ++j) EXPECT_EQ((boxes[i] & boxes[j]).area(), 0) << i << " " << j;
  }
  // What names an axis and its unit is not cut.
  for (const auto* panel : layout.panels()) {
    const internal::TextBlock& title = panel->title;
    EXPECT_LE(internal::Canvas::Measure(title.text, 0, title.style).width, title.box.width)
        << title.text;
  }
  // Legible at 400 pixels across: the smallest type there is 5 px high.
  for (const auto* text : layout.texts()) {
    EXPECT_GE(text->style.size_px / layout.canvas_px.width * 400, 5);
  }
}

// "Not measured here" above an exponent would be two answers.
TEST(LayOutGrowth, ReadsNoExponentFromAPlotThatShowsNone) {
  LocateResult result = WithCourse();
  EXPECT_FALSE(
      internal::LayOutGrowth(result, 1, internal::MakeGrowthNumbers(result, result.candidates[0]))
          .words.text.empty());
  result.candidates[0].levels.clear();
  EXPECT_EQ(
      internal::LayOutGrowth(result, 1, internal::MakeGrowthNumbers(result, result.candidates[0]))
          .words.text,
      "");
}

TEST(DrawGrowth, RefusesAPlaceThatIsNotListed) {
  const LocateResult result = WithCourse();
  for (const std::size_t place : {std::size_t{0}, result.candidates.size() + 1}) {
    try {
      (void)DrawGrowth(result, place);
      ADD_FAILURE() << place;
    } catch (const OptionError& error) {
      EXPECT_NE(std::string(error.what()).find("is not in the result, which lists 3"),
                std::string::npos);
    }
  }
}

TEST(DrawGrowth, DrawsAPlaceWithoutACourse) {
  LocateResult result = WithCourse();
  const cv::Mat full = DrawGrowth(result, 1);
  result.candidates[0].growth.clear();
  result.candidates[0].levels.clear();
  const cv::Mat empty = DrawGrowth(result, 1);
  EXPECT_EQ(full.cols, 1600);
  ASSERT_EQ(empty.size(), full.size());
  EXPECT_GT(cv::norm(empty, full, cv::NORM_INF), 0);
}

}  // namespace
}  // namespace ohmglow
