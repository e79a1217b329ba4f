// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/twosided/two_sided.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "rank/advice.h"
#include "rank/advice_view.h"
#include "rank/supply_budget.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using ::testing::HasSubstr;

const Point kPlace(20, 15);

// One side of an invented board of 60 mm, 0.5 mm a pixel.
struct Side {
  LocateResult result;
  Case job;

  explicit Side(BoardSide side) {
    const bool top = side == BoardSide::kTop;
    job.file = top ? "top/case.ini" : "bottom/case.ini";
    job.side = result.side = side;
    job.parts = {{"C7", kPlace, 1, 0.5, BoardSide::kTop, "cap"},
                 {"C9", {41, 30}, 1, 0.5, BoardSide::kBottom, "cap"}};
    const PlaneMap frame_from_board{{top ? 2.0 : -2.0, 0, top ? 0.0 : 120.0, 0, 2, 0, 0, 0, 1}};
    for (const Point p : {Point(0, 0), Point(60, 0), Point(0, 40), Point(60, 40)}) {
      job.landmarks.push_back({frame_from_board.Apply(p), frame_from_board.Apply(p), p});
    }
    result.title = top ? "Top" : "Bottom";
    result.case_file = "case.ini";
    result.maps = FitBoardMaps(job.landmarks);
    result.levels = {{0, 5, 0, 0}, {5, 12, 1, 0.1}, {12, 20, 2, 0.4}};
    result.noise_response_k = 0.004;
    result.response_k = Image(80, 120, 0.0F);
    result.frame_size_px = {120, 80};
    result.mm_per_pixel = 0.5;
    result.detectable_w = top ? 0.002 : 0.003;
  }

  Candidate& Add(Point at_mm, double rise_k, double width_mm, double power_w, double odds) {
    Candidate c;
    c.frame_px = result.maps.board_from_frame->Inverse().Apply(at_mm);
    c.board_mm = at_mm;
    c.sigma_px = 0.2;
    c.rise_k = rise_k;
    c.width_mm = width_mm;
    c.power_w = power_w;
    c.power_low_w = power_w * std::exp(-1.96 * 0.3);
    c.power_high_w = power_w * std::exp(1.96 * 0.3);
    c.current_exponent = 2;
    c.confidence = odds / (1 + odds);
    c.evidence = {{"before looking", 0.5, 0}, {"stands out of the noise", 2 * odds, 1}};
    result.response_k(cvRound(c.frame_px.y), cvRound(c.frame_px.x)) = static_cast<float>(rise_k);
    result.verdict = Verdict::kFound;
    result.candidates.push_back(c);
    return result.candidates.back();
  }
};

LocateResult Join(const Side& seen, const Side& other) {
  return JoinSides(seen.result, seen.job, other.result, other.job, {});
}

void ExpectRefused(const Case& job, const Case& other, const std::vector<std::string>& texts) {
  try {
    (void)LocateTwoSided(job, other, {});  // Before it looks for frames, of which there are none.
    ADD_FAILURE() << "not refused: " << texts.front();
  } catch (const InputError& error) {
    for (const std::string& text : texts) EXPECT_THAT(error.what(), HasSubstr(text));
  }
}

TEST(LocateTwoSided, RefusesTwoCapturesOfOneSide) {
  const Side top(BoardSide::kTop);
  Side other(BoardSide::kBottom);
  other.job.side = BoardSide::kTop;
  ExpectRefused(top.job, other.job, {"bottom/case.ini: [board] side = top", "top/case.ini"});
}

TEST(LocateTwoSided, NeedsBoardCoordinatesInBoth) {
  const Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  for (Landmark& landmark : bottom.job.landmarks) landmark.board_mm.reset();
  bottom.job.parts.clear();
  ExpectRefused(top.job, bottom.job, {"bottom/case.ini: [board] points", "board_x_mm"});
  ExpectRefused(bottom.job, top.job, {"bottom/case.ini: [board] points"});
}

TEST(LocateTwoSided, RefusesCoordinatesThatAreNotOneBoards) {
  const Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  for (Landmark& landmark : bottom.job.landmarks) landmark.board_mm->x = 60 - landmark.board_mm->x;
  ExpectRefused(top.job, bottom.job, {"bottom/case.ini: [board] points", "same way round"});
}

// The parts list may have laid itself on the pictures instead of landmarks.
TEST(JoinSides, TakesBoardCoordinatesFromThePartsLists) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  top.Add(kPlace, 2.0, 1.8, 0.1, 4);
  bottom.Add(kPlace + Point(0.8, -0.5), 0.1, 8, 0.12, 1.5);
  for (Side* side : {&top, &bottom}) {
    side->job.landmarks.clear();
    side->result.maps.board_trust = 0.99;
  }
  const LocateResult joined = JoinSides(top.result, top.job, bottom.result, bottom.job, {});
  ASSERT_FALSE(joined.candidates.empty());
  EXPECT_EQ(joined.candidates[0].side, HeatSide::kNear);
  const auto expect_refused = [&](const char* what) {
    try {
      static_cast<void>(JoinSides(top.result, top.job, bottom.result, bottom.job, {}));
      FAIL() << "nothing thrown for " << what;
    } catch (const InputError& error) {
      EXPECT_THAT(error.what(), HasSubstr("bottom/case.ini"));
      EXPECT_THAT(error.what(), HasSubstr(what));
    }
  };
  // A list of the bottom whose x was measured from the other edge.
  const cv::Matx33d mirror(-1, 0, 60, 0, 1, 0, 0, 0, 1);
  bottom.result.maps.board_from_frame->matrix =
      mirror * bottom.result.maps.board_from_frame->matrix;
  expect_refused("same way round");
  bottom.result.maps.board_from_frame.reset();
  expect_refused("could not be laid on the picture");
}

TEST(JoinSides, DecidesForTheSideThatSeesItStrongNarrowAndOnAPart) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  top.Add(kPlace, 2.0, 1.8, 0.1, 4);
  bottom.Add(kPlace + Point(0.8, -0.5), 0.1, 8, 0.12, 1.5);

  const LocateResult seen = Join(top, bottom);
  ASSERT_EQ(seen.candidates.size(), 1U);
  const Candidate& near = seen.candidates[0];
  EXPECT_EQ(near.side, HeatSide::kNear);
  EXPECT_LT(*near.far_prob, 0.02);
  EXPECT_NEAR(near.board_mm->x, kPlace.x, 0.05);  // The near side's place.
  EXPECT_EQ(near.parts.at(0).ref, "C7");
  EXPECT_EQ(near.parts.at(0).side, HeatSide::kNear);
  EXPECT_GT(near.power_w, 0.1);
  EXPECT_LT(near.power_w, 0.12);
  EXPECT_GT(near.confidence, top.result.candidates[0].confidence);
  ASSERT_TRUE(near.other_side);
  EXPECT_EQ(near.other_side->rank, 1U);
  EXPECT_EQ(near.other_side->rise_k, 0.1);
  EXPECT_TRUE(seen.other_side->conflicts.empty());

  const LocateResult behind = Join(bottom, top);
  ASSERT_EQ(behind.candidates.size(), 1U);
  const Candidate& far = behind.candidates[0];
  EXPECT_EQ(far.side, HeatSide::kFar);
  EXPECT_NEAR(far.board_mm->x, kPlace.x, 0.05);
  // In the picture of the bottom, where x runs backwards.
  EXPECT_NEAR(far.frame_px.x, 2 * (60 - kPlace.x), 0.1);
  EXPECT_EQ(far.parts.at(0).ref, "C7");
  EXPECT_EQ(far.parts.at(0).side, HeatSide::kFar) << "seen from the bottom";
  EXPECT_NEAR(far.power_w, near.power_w, 1e-6);
  EXPECT_NEAR(far.confidence, near.confidence, 1e-6);
  EXPECT_EQ(behind.side, BoardSide::kBottom);
}

TEST(JoinSides, TheProductOfTheEvidenceAreTheOddsAndBeliefCountsOnce) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  top.Add(kPlace, 2.0, 1.8, 0.1, 4);
  bottom.Add(kPlace, 0.1, 8, 0.1, 1.5);
  const LocateResult joined = Join(top, bottom);
  double odds = 1;
  int before = 0;
  for (const Evidence& piece : joined.candidates[0].evidence) {
    odds *= piece.factor;
    before += piece.name == "before looking" ? 1 : 0;
  }
  EXPECT_EQ(before, 1);
  EXPECT_NEAR(odds, 4 * std::sqrt(3.0), 1e-9);  // 4, and half of the 3 without the belief.
  EXPECT_NEAR(joined.candidates[0].confidence, odds / (1 + odds), 1e-9);
  EXPECT_NEAR(joined.elsewhere_prob, 1 / (1 + odds), 1e-9);
}

TEST(JoinSides, BringsOverWhatOnlyTheOtherSideFound) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  bottom.Add({41, 30}, 0.4, 2, 0.03, 5);
  bottom.result.levels = {{0, 5, 0, 0}, {5, 20, 4, 0.4}};  // Twice the current.
  const LocateResult joined = Join(top, bottom);
  ASSERT_EQ(joined.candidates.size(), 1U);
  const Candidate& place = joined.candidates[0];
  EXPECT_EQ(place.side, HeatSide::kFar);
  EXPECT_NEAR(place.frame_px.x, 82, 1e-6);
  EXPECT_NEAR(place.frame_px.y, 60, 1e-6);
  EXPECT_EQ(place.parts.at(0).ref, "C9");
  EXPECT_NEAR(place.power_w, 0.03 / 4, 1e-9);  // At the first capture's current.
  EXPECT_NEAR(*place.other_side->power_w, 0.03 / 4, 1e-9);
  EXPECT_EQ(place.other_side->rise_k, 0.4);
  EXPECT_THAT(Say(place.remarks.front()), HasSubstr("Found from the other side alone"));
  EXPECT_FALSE(place.share_of_supply);
}

TEST(JoinSides, ReportsWhatTheOtherSideShouldHaveShown) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  top.Add(kPlace, 40, 6, 0.4, 9);  // And nothing at all below.
  const LocateResult joined = Join(top, bottom);
  ASSERT_EQ(joined.other_side->conflicts.size(), 1U);
  EXPECT_THAT(Say(joined.other_side->conflicts[0]), HasSubstr("Place 1: Heat of this strength"));
  EXPECT_THAT(Say(joined.candidates[0].remarks.back()), HasSubstr("should show on the other side"));
  EXPECT_LT(joined.candidates[0].confidence, 0.6);  // 0.9 alone.
}

// Bare metal hides its heat: that the bottom shows it stronger is no contradiction.
TEST(JoinSides, ExpectsAContactToShowStrongerFromBehind) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  const Point bare(45, 8);
  top.Add(bare, 0.1, 8, 0.02, 4);
  bottom.Add(bare, 0.2, 8, 0.02, 1.5);
  top.job.contacts = {{top.result.candidates[0].frame_px, "+"}};
  top.result.candidates[0].evidence.push_back({"is no lead contact", 0.02, -1});
  const LocateResult joined = Join(top, bottom);
  EXPECT_LT(*joined.candidates[0].far_prob, 0.5);
  EXPECT_TRUE(joined.other_side->conflicts.empty());
  // The other capture knows of no contact there, yet does not speak for the place.
  EXPECT_LT(joined.candidates[0].confidence, 0.1);
}

TEST(JoinSides, ReportsPowersThatDoNotAgree) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  top.Add(kPlace, 2.0, 1.8, 0.02, 4);
  bottom.Add(kPlace, 0.1, 8, 0.3, 1.5);
  const LocateResult joined = Join(top, bottom);
  ASSERT_EQ(joined.other_side->conflicts.size(), 1U);
  EXPECT_THAT(Say(joined.other_side->conflicts[0]), HasSubstr("disagree on its power"));
  EXPECT_EQ(joined.candidates[0].power_w, 0.02);
  EXPECT_GT(joined.candidates[0].power_high_w, 0.3);
  Side agreeing(BoardSide::kBottom);
  agreeing.Add(kPlace, 0.1, 8, 0.02, 1.5);
  EXPECT_LT(joined.candidates[0].confidence, Join(top, agreeing).candidates[0].confidence);
}

// What is derived from the power goes with the power of both, and its sentence as well.
TEST(JoinSides, ReadsResistanceAndShareFromTheJointPower) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  Candidate& here = top.Add(kPlace, 2.0, 1.8, 0.1, 4);
  bottom.Add(kPlace, 0.1, 8, 0.13, 1.5);
  AddReading(2, false, here);
  here.remarks = {Remark::Quoted("One."), Remark::Quoted("Two.")};
  SayReading(here);
  here.share_of_supply = 0.25;
  const Candidate joined = Join(top, bottom).candidates.at(0);
  ASSERT_GT(joined.power_w, 0.103);  // No longer that of one capture.
  ASSERT_TRUE(joined.resistance_ohm);
  // At the 2 A of the first capture.
  EXPECT_NEAR(joined.resistance_ohm->value, joined.power_w / 4, 1e-12);
  EXPECT_NEAR(joined.resistance_ohm->low, joined.power_low_w / 4, 1e-12);
  EXPECT_NEAR(joined.resistance_ohm->high, joined.power_high_w / 4, 1e-12);
  EXPECT_FALSE(joined.drop_v);
  EXPECT_NEAR(*joined.share_of_supply, 2.5 * joined.power_w, 1e-12);
  const auto reading = std::find_if(
      joined.remarks.begin(), joined.remarks.end(), IsOf(RemarkKind::kReadAsResistance));
  ASSERT_NE(reading, joined.remarks.end());
  EXPECT_EQ(reading->Number("mohm"), 1e3 * joined.resistance_ohm->value);
  EXPECT_EQ(std::count_if(
                joined.remarks.begin(), joined.remarks.end(), IsOf(RemarkKind::kReadAsResistance)),
            1);
  EXPECT_THAT(SayAll(joined.remarks), ::testing::IsSupersetOf({"One.", "Two."}));
  // Nothing that the capture did not read is made up.
  here.resistance_ohm.reset();
  EXPECT_FALSE(Join(top, bottom).candidates.at(0).resistance_ohm);
}

TEST(JoinSides, KeepsAJunctionsDropWhateverTheCurrent) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  bottom.result.levels = {{0, 5, 0, 0}, {5, 20, 4, 0.4}};  // Twice the current of the first.
  Candidate& there = bottom.Add({41, 30}, 0.4, 2, 1.2, 5);
  there.current_exponent = 1;
  AddReading(4, true, there);
  const Candidate joined = Join(top, bottom).candidates.at(0);
  EXPECT_NEAR(joined.power_w, 0.6, 1e-9);
  ASSERT_TRUE(joined.drop_v);
  EXPECT_NEAR(joined.drop_v->value, 0.3, 1e-9);
  EXPECT_FALSE(joined.resistance_ohm);
}

TEST(JoinSides, AsksNoMoreForTheOtherSide) {
  const Side top(BoardSide::kTop);
  const Side bottom(BoardSide::kBottom);
  const LocateResult joined = Join(top, bottom);
  EXPECT_EQ(joined.verdict, Verdict::kNone);
  EXPECT_THAT(Say(joined.advice.front()),
              HasSubstr("2.0 mW would usually have shown on this side"));
  EXPECT_FALSE(testing::Says(joined.advice, "film the other side"));
  EXPECT_THAT(Say(joined.advice.back()), HasSubstr("Caution"));
}

TEST(JoinSides, SaysWhichPartsNeitherCaptureShows) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  const auto add = [&](const char* ref, Point at_mm) {
    for (Side* side : {&top, &bottom}) {
      side->job.parts.push_back({ref, at_mm, 2, 2, BoardSide::kTop, "cap"});
    }
  };
  // The pictures show 60 mm x 40 mm of the board; half of the top's was masked.
  add("C50", {70, 10});
  add("C51", {50, 30});
  top.result.limit_w = Image(80, 120, 0.001F);
  top.result.limit_w(cv::Rect(60, 0, 60, 80)) = std::numeric_limits<float>::quiet_NaN();
  top.result.advice =
      Advise(top.result, false, {}, NamesOf(PartsNotInView(top.job.parts, top.result)));
  EXPECT_THAT(Say(top.result.advice.front()), HasSubstr("C51"));
  const LocateResult joined = Join(top, bottom);
  EXPECT_THAT(SayAll(joined.advice), ::testing::Contains(HasSubstr("Not in view: C50. ")));
  EXPECT_THAT(SayAll(joined.advice), ::testing::Not(::testing::Contains(HasSubstr("C51"))));
}

TEST(JoinSides, SurvivesItsJson) {
  Side top(BoardSide::kTop);
  Side bottom(BoardSide::kBottom);
  bottom.result.assumed = {{"surface.emissivity", "0.93"},
                           {"board.mm_per_pixel", "0.5 mm", AssumedHow::kGuess, "a guess"}};
  top.Add(kPlace, 2.0, 1.8, 0.02, 4);
  bottom.Add(kPlace, 0.1, 8, 0.3, 1.5);
  const LocateResult joined = Join(top, bottom);
  EXPECT_EQ(ToText(joined.assumed.back()),
            "other side (case.ini): board.mm_per_pixel = 0.5 mm (a guess)");
  // It is a guess of the other side's scale, not of this one's.
  EXPECT_EQ(FindAssumed(joined.assumed, "board.mm_per_pixel"), nullptr);
  const std::string text = ToJson(joined);
  const LocateResult back = FromJson(text, "result.json");
  EXPECT_EQ(back.assumed, joined.assumed);
  ASSERT_TRUE(back.other_side);
  EXPECT_EQ(SayAll(back.other_side->conflicts), SayAll(joined.other_side->conflicts));
  EXPECT_EQ(back.candidates[0].other_side->rank, 1U);
  EXPECT_EQ(ToJson(back), text);
}

}  // namespace
}  // namespace ohmglow
