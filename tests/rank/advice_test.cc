// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "ohmglow/base/remark_kind.h"
#include "rank/confidence.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::Says;

LocateResult Found() {
  LocateResult result;
  result.verdict = Verdict::kFound;
  Candidate first;
  first.confidence = 0.9;
  first.side = HeatSide::kNear;
  first.rise_k = 3;
  first.parts = {{"C7", 0.9}};
  result.candidates = {first};
  result.levels = {{0, 5, 0, 0}, {5, 15, 1, 0.3}, {15, 20, 0, 0}};
  return result;
}

TEST(Advise, NamesThePartToMeasureAndLift) {
  const std::vector<Remark> advice = Advise(Found());
  EXPECT_TRUE(Says(advice, "Supply off and disconnected"));
  LocateResult unnamed = Found();
  unnamed.candidates[0].parts.clear();
  EXPECT_TRUE(Says(Advise(unnamed), "the part at place 1"));
  LocateResult unsure = Found();
  unsure.candidates[0].confidence = 0.6;
  EXPECT_FALSE(Says(Advise(unsure), "Supply off and"));
  EXPECT_TRUE(Says(Advise(unsure), "not enough to lift a part"));
  EXPECT_FALSE(Says(advice, "not enough to lift a part"));
}

// "near C7" on every page is no leave to lift C7.
TEST(Advise, LiftsNoPartThatOnlyMarksThePlace) {
  LocateResult result = Found();
  result.candidates[0].parts = {{"C7", 0.35}, {"C8", 0.12}};
  const std::vector<Remark> advice = Advise(result);
  EXPECT_TRUE(Says(advice, "C7 only marks the place"));
  EXPECT_FALSE(Says(advice, "Tell C7 from C8"));
  EXPECT_FALSE(Says(advice, "Supply off and disconnected"));
}

// Currents noted by hand have their times, and errors of these, from the frames.
TEST(Advise, DoubtsAJunctionThatHandNotedCurrentsMake) {
  LocateResult result = Found();
  result.candidates[0].drop_v = Estimate{0.4, 0.3, 0.5};
  EXPECT_TRUE(Says(Advise(result), "check the polarity"));
  EXPECT_FALSE(Says(Advise(result), "noted by hand"));
  result.levels[1].start_sigma_s = 0.1;
  EXPECT_TRUE(Says(Advise(result), "noted by hand"));
  result.candidates[0].drop_v.reset();
  EXPECT_FALSE(Says(Advise(result), "noted by hand"));
}

TEST(Advise, NamesAPossibleSecondPlace) {
  LocateResult result = Found();
  Candidate second;
  second.confidence = 0.3;
  second.parts = {{"Q1", 0.8}};
  result.candidates.push_back(second);
  EXPECT_FALSE(Says(Advise(result), "look at Q1 next"));
  result.candidates[1].confidence = 0.5;
  EXPECT_TRUE(Says(Advise(result), "still low once place 1 is mended, look at Q1 next (50 %)"));
  result.verdict = Verdict::kSeveral;
  EXPECT_FALSE(Says(Advise(result), "look at Q1 next"));
}

TEST(Advise, DoubtsAJunctionBeforeItIsLifted) {
  LocateResult result = Found();
  EXPECT_FALSE(Says(Advise(result), "polarity"));
  result.candidates[0].drop_v = Estimate{0.35, 0.3, 0.4};
  EXPECT_TRUE(Says(Advise(result), "check the polarity of the leads"));
}

TEST(Advise, SaysWhatALeadContactHides) {
  LocateResult result = Found();
  result.verdict = Verdict::kNone;
  EXPECT_FALSE(Says(Advise(result), "move the contact"));
  result.candidates[0].contact = "PC1";
  EXPECT_TRUE(Says(Advise(result), "move the contact"));
}

TEST(Advise, SendsToTheOtherSide) {
  LocateResult result = Found();
  result.candidates[0].side = HeatSide::kFar;
  EXPECT_TRUE(Says(Advise(result), "turn the board"));
  EXPECT_FALSE(Says(Advise(result), "Supply off and"));
  result.candidates[0].side = HeatSide::kUndecided;
  EXPECT_TRUE(Says(Advise(result), "film the other side before you lift anything"));
}

TEST(Advise, AsksToTellTwoPartsApart) {
  LocateResult result = Found();
  EXPECT_FALSE(Says(Advise(result), "Tell C7 from"));
  result.candidates[0].parts = {{"C7", 0.5}, {"C8", 0.45}};
  EXPECT_TRUE(Says(Advise(result), "Tell C7 from C8"));
  // One hour for a sound part against minutes for a look: from one in ten on.
  result.candidates[0].parts = {{"C7", 0.88}, {"C8", 0.11}};
  EXPECT_TRUE(Says(Advise(result), "Tell C7 from C8"));
  result.candidates[0].parts = {{"C7", 0.7}, {"C8", 0.05}};
  EXPECT_FALSE(Says(Advise(result), "Tell C7 from"));
}

TEST(Advise, SaysWhatNothingMeans) {
  LocateResult result = Found();
  result.verdict = Verdict::kNone;
  result.candidates.clear();
  result.detectable_w = 0.0123;
  const std::vector<Remark> advice = Advise(result);
  EXPECT_TRUE(Says(advice, "12.3 mW"));
  EXPECT_TRUE(Says(advice, "at twice the current, one that takes 3.1 mW now"));
  EXPECT_TRUE(Says(advice, "four times the heat"));
  EXPECT_TRUE(Says(advice, "other side"));
}

TEST(Advise, SaysFirstOfWhatNothingWasSeen) {
  LocateResult none = Found();
  none.verdict = Verdict::kNone;
  none.detectable_w = 0.01;
  EXPECT_FALSE(Says(Advise(none), "Not in view"));
  const std::vector<Remark> advice = Advise(none, true, {}, Remark::Quoted("U7 and C12"));
  EXPECT_TRUE(Says(advice.front(), "Not in view: U7 and C12. \"No fault seen\" does not hold"));
  EXPECT_TRUE(
      Says(Advise(Found(), true, {}, Remark::Quoted("U7")), "Not in view: U7; a further fault"));
}

TEST(Advise, SaysWhatToFilmAgainWhereTheFramesCannotTell) {
  LocateResult result;
  result.detectable_w = 0.02;
  result.verdict_reason = Remark(RemarkKind::kViewCannotTell).With("error_px", 0.9);
  const std::vector<Remark> advice = Advise(result);
  ASSERT_FALSE(advice.empty());
  EXPECT_EQ(advice.front().kind, RemarkKind::kHoldStill);
  EXPECT_TRUE(std::none_of(advice.begin(), advice.end(), IsOf(RemarkKind::kShowsFrom)));
}

TEST(Advise, AsksForContactsOnlyWhereTheyLack) {
  LocateResult none;
  EXPECT_TRUE(Says(Advise(none), "mark the lead contacts"));
  EXPECT_FALSE(Says(Advise(none, true), "mark the lead contacts"));
  EXPECT_TRUE(Says(Advise(none, true), "heat sinks"));
}

TEST(Advise, DoubtsTheClockWhereABrightPlaceDoesNotFollowTheSteps) {
  LocateResult result = Found();
  result.verdict = Verdict::kNone;
  result.clock_offset_s = 1;
  result.clock_offset_sigma_s = 0.05;
  EXPECT_FALSE(Says(Advise(result), "clock_offset_s"));
  result.candidates[0].snr = 80;
  result.candidates[0].remarks = {Remark(RemarkKind::kByItself)};
  EXPECT_TRUE(Says(Advise(result), "clock_offset_s"));
  result.candidates[0].snr = 8;
  EXPECT_FALSE(Says(Advise(result), "clock_offset_s"));
  result.clock_offset_sigma_s = 3;
  EXPECT_TRUE(Says(Advise(result), "clock_offset_s"));
  result.clock_offset_sigma_s.reset();  // given in the case
  EXPECT_FALSE(Says(Advise(result), "clock_offset_s"));
}

TEST(Advise, PassesOnWhatTheCourseOfTheCurrentLacks) {
  const LocateResult result = Found();
  EXPECT_FALSE(Says(Advise(result), "current at zero"));
  EXPECT_TRUE(Says(Advise(result, true, Remark::Quoted("End with the current at zero.")),
                   "current at zero"));
}

TEST(Advise, WarnsOfHotPlaces) {
  LocateResult result = Found();
  EXPECT_FALSE(Says(Advise(result), "cool before you touch"));
  result.candidates[0].rise_k = 41;
  EXPECT_TRUE(
      Says(Advise(result), "Caution: a place rose by 41 K: let it cool before you touch it"));
}

// Where work can hurt someone: usual cautions, local codes, licensed practice.
TEST(Advise, EndsWithTheCautionWhateverWasFound) {
  LocateResult none;
  for (const LocateResult& result : {Found(), none}) {
    const std::vector<Remark> advice = Advise(result);
    ASSERT_FALSE(advice.empty());
    for (const char* words : {"voltage limit",
                              "current limit",
                              "cells",
                              "discharged",
                              "mains",
                              "local codes",
                              "licensed practice"}) {
      EXPECT_TRUE(Says(advice.back(), words)) << words;
    }
  }
}

}  // namespace
}  // namespace ohmglow
