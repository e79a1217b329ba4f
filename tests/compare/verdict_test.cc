// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/verdict.h"

#include <gtest/gtest.h>

#include <string>

#include "support/said.h"

namespace ohmglow {
namespace {

constexpr double kGoneShare = 0.15;

WeighedPlace OldFault(double ratio, double sigma, const std::string& name = "A") {
  WeighedPlace weighed;
  weighed.place.name = name;
  weighed.place.suspect = true;
  weighed.place.ratio = ratio;
  weighed.place.ratio_sigma = sigma;
  weighed.probs = JudgeChange(ratio, sigma, kGoneShare);
  weighed.fault_before_prob = 0.9;
  return weighed;
}

WeighedPlace NotFilmed() {
  WeighedPlace weighed = OldFault(0, 9);
  weighed.place.ratio.reset();
  weighed.place.ratio_sigma.reset();
  return weighed;
}

WeighedPlace NewFault(double prob) {
  WeighedPlace weighed;
  weighed.place.name = "B";
  weighed.place.suspect = true;
  weighed.new_in_after = true;
  weighed.fault_after_prob = prob;
  return weighed;
}

CompareResult Decide(const std::vector<WeighedPlace>& places,
                     const ResistanceChange& resistance = {}) {
  Blindness blindness;
  blindness.after_amps_a = 0.5;
  for (const WeighedPlace& weighed : places) {
    if (weighed.new_in_after) continue;
    if (!weighed.place.ratio_sigma) blindness.suspect_outside = true;
    blindness.suspect_sigma =
        std::max(blindness.suspect_sigma.value_or(0), weighed.place.ratio_sigma.value_or(9));
  }
  CompareResult result;
  result.resistance = resistance;
  DecideVerdict(places, blindness, result);
  return result;
}

bool Says(const CompareResult& result, const std::string& text) {
  return testing::Says(result.words, text);
}

TEST(DecideVerdict, CallsRepairedWhatIsGone) {
  const CompareResult result = Decide({OldFault(0.01, 0.02)});
  EXPECT_EQ(result.verdict, CompareVerdict::kRepaired);
  EXPECT_NEAR(result.probability, JudgeChange(0.01, 0.02, kGoneShare).gone, 1e-12);
  EXPECT_TRUE(Says(result, "The heat at A is gone"));
  EXPECT_TRUE(Says(result, "measure its resistance to ground with the supply off"));
}

// A fifth left, give or take a fifth: likely gone, yet half of it may be there.
TEST(DecideVerdict, CallsNothingRepairedOfWhichAGoodPartMayBeLeft) {
  EXPECT_GT(JudgeChange(0.21, 0.2, kGoneShare).gone, 0.6);
  const CompareResult result = Decide({OldFault(0.21, 0.2)});
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  EXPECT_TRUE(Says(result, "could not have shown the fault"));
  EXPECT_EQ(Decide({OldFault(0.02, 0.2)}).verdict, CompareVerdict::kRepaired);
  EXPECT_EQ(Decide({OldFault(0.02, 0.3)}).verdict, CompareVerdict::kUndecided);
  // Nor does it say so beside a new place.
  const CompareResult moved = Decide({OldFault(0.21, 0.2), NewFault(0.95)});
  EXPECT_EQ(moved.verdict, CompareVerdict::kNewPlace);
  EXPECT_FALSE(Says(moved, "is gone"));
  EXPECT_TRUE(Says(Decide({OldFault(0.01, 0.02), NewFault(0.95)}), "is gone"));
}

// A weak load first, the shorted board second: what was given in the wrong order is no repair.
TEST(DecideVerdict, AsksForTheOrderWhereTheResistanceFell) {
  ResistanceChange fell;
  fell.before_ohm = 16;
  fell.after_ohm = 0.24;
  fell.change_ohm = -15.76;
  fell.change_sigma_ohm = 0.1;
  for (const auto& places : {std::vector{OldFault(0.01, 0.02)},
                             std::vector{OldFault(0.01, 0.02), NewFault(0.95)},
                             std::vector{OldFault(0.0, 0.6)}}) {
    const CompareResult result = Decide(places, fell);
    EXPECT_NE(result.verdict, CompareVerdict::kRepaired);
    EXPECT_TRUE(Says(result, "fell from 16 ohm to 240 milliohm"));
    EXPECT_TRUE(Says(result, "were the two given in the wrong order?"));
  }
  // What still warms needs no such question.
  EXPECT_FALSE(Says(Decide({OldFault(1.0, 0.05)}, fell), "wrong order"));
  // Leads that touch a little better are no reason to doubt.
  ResistanceChange alike = fell;
  alike.after_ohm = 14;
  alike.change_ohm = -2;
  EXPECT_EQ(Decide({OldFault(0.01, 0.02)}, alike).verdict, CompareVerdict::kRepaired);
  ResistanceChange rose = fell;
  rose.change_ohm = 15.76;
  EXPECT_EQ(Decide({OldFault(0.01, 0.02)}, rose).verdict, CompareVerdict::kRepaired);
}

TEST(DecideVerdict, CallsNotRepairedWhatIsThere) {
  for (const double ratio : {0.4, 1.0, 3.0}) {
    const CompareResult result = Decide({OldFault(ratio, 0.05)});
    EXPECT_EQ(result.verdict, CompareVerdict::kNotRepaired);
    EXPECT_GT(result.probability, 0.9);
    EXPECT_TRUE(Says(result, "still takes power at A"));
  }
}

TEST(DecideVerdict, CallsANewPlaceNew) {
  const CompareResult result = Decide({OldFault(0, 0.02), NewFault(0.9)});
  EXPECT_EQ(result.verdict, CompareVerdict::kNewPlace);
  EXPECT_NEAR(result.probability, 0.9 * JudgeChange(0, 0.02, kGoneShare).gone, 1e-12);
  EXPECT_TRUE(Says(result, "The heat at A is gone"));
  EXPECT_TRUE(Says(result, "Another place takes power now: B"));
}

TEST(DecideVerdict, NamesTheNewPlaceBesideTheOld) {
  const CompareResult result = Decide({OldFault(1, 0.02), NewFault(0.9)});
  EXPECT_EQ(result.verdict, CompareVerdict::kNotRepaired);
  EXPECT_TRUE(Says(result, "Also look at B"));
  EXPECT_FALSE(Says(Decide({OldFault(1, 0.02), NewFault(0.1)}), "Also look at B"));
}

TEST(DecideVerdict, WantsEveryOldFaultGone) {
  const CompareResult result = Decide({OldFault(0, 0.02), OldFault(1, 0.05, "C")});
  EXPECT_EQ(result.verdict, CompareVerdict::kNotRepaired);
}

// Whatever the estimate: what could not have been shown is not repaired.
TEST(DecideVerdict, IsNeverRepairedWhereItCouldNotHaveBeenShown) {
  for (const double ratio : {-0.5, 0.0, 0.3}) {
    for (const double sigma : {0.4, 1.0, 9.0}) {
      EXPECT_NE(Decide({OldFault(ratio, sigma)}).verdict, CompareVerdict::kRepaired);
    }
  }
}

TEST(DecideVerdict, SaysWhatCurrentIsNeeded) {
  // Four times the error that tells: twice the current, sixteen times the frames.
  const CompareResult result = Decide({OldFault(0, 0.48)});
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  EXPECT_TRUE(Says(result, "about 1 A instead of 0.5 A")) << result.words.at(0);
  EXPECT_TRUE(Says(result, "16 times as many frames"));
  // Nobody takes 5625 times as many.
  const CompareResult blind = Decide({OldFault(0, 9)});
  EXPECT_TRUE(Says(blind, "about 4.3 A instead of 0.5 A")) << blind.words.at(0);
  EXPECT_FALSE(Says(blind, "times as many frames"));
}

TEST(DecideVerdict, CallsNothingNotRepairedThatWasNotFilmed) {
  const CompareResult result = Decide({NotFilmed()});
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  EXPECT_TRUE(Says(result, "film the same part of the board"));
}

// That three coins do not all show heads is likely, but no finding.
TEST(DecideVerdict, AddsUpNoIgnorance) {
  const CompareResult result = Decide({OldFault(0, 9, "A"), OldFault(0, 9, "B"), NotFilmed()});
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
}

TEST(DecideVerdict, IsUndecidedWithoutAFirstFault) {
  CompareResult result;
  Blindness blindness;
  blindness.before_showed_none = true;
  DecideVerdict({}, blindness, result);
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  EXPECT_TRUE(Says(result, "none to compare"));
  DecideVerdict({}, Blindness(), result);
  EXPECT_EQ(result.verdict, CompareVerdict::kUndecided);
  EXPECT_EQ(result.words.size(), 1U);
  EXPECT_TRUE(Says(result, "none to compare"));
}

TEST(DecideVerdict, NamesTheLikelyPart) {
  WeighedPlace fault = OldFault(1, 0.05);
  fault.place.parts = {{"C12", 0.8}, {"U3", 0.1}};
  EXPECT_TRUE(Says(Decide({fault}), "A (C12)"));
  fault.place.parts = {{"C12", 0.4}, {"U3", 0.3}};
  EXPECT_FALSE(Says(Decide({fault}), "C12"));
}

TEST(DecideVerdict, LeavesOutWhatIsNoSuspect) {
  WeighedPlace contact = OldFault(1, 0.02, "C");
  contact.place.suspect = false;
  EXPECT_EQ(Decide({OldFault(0, 0.02), contact}).verdict, CompareVerdict::kRepaired);
}

}  // namespace
}  // namespace ohmglow
