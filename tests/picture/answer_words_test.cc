// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/answer_words.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "ohmglow/base/remark_kind.h"
#include "support/sample_result.h"

namespace ohmglow::internal {
namespace {

TEST(ConfidenceWord, FollowsTheTableAtItsBounds) {
  EXPECT_EQ(ConfidenceWord(0.95), "almost certain");
  EXPECT_EQ(ConfidenceWord(0.949), "very likely");
  EXPECT_EQ(ConfidenceWord(0.8), "very likely");
  EXPECT_EQ(ConfidenceWord(0.6), "likely");
  EXPECT_EQ(ConfidenceWord(0.35), "possible");
  EXPECT_EQ(ConfidenceWord(0.349), "unlikely");
  EXPECT_EQ(ConfidenceWord(std::nan("")), "unknown");
  EXPECT_EQ(ConfidenceText(1.0), "almost certain, over 99 %");
  EXPECT_EQ(ConfidenceText(0.0), "unlikely, under 1 %");
}

TEST(PlaceName, NamesPartsElseMillimetresElsePixels) {
  Candidate c;
  c.frame_px = {131.4, 77.9};
  EXPECT_EQ(PlaceName(c), "at pixel 131, 78");
  c.board_mm = Point(41.23, 30.0);
  EXPECT_EQ(PlaceName(c), "at 41.2, 30 mm");
  c.parts = {{"C41", 0.81}, {"C42", 0.15}};
  EXPECT_EQ(PlaceName(c), "C41 (perhaps C42)");
  c.parts[1].prob = 0.11;
  EXPECT_EQ(PlaceName(c), "C41 (perhaps C42)");
  c.parts[1].prob = 0.4;
  EXPECT_EQ(PlaceName(c), "C41 or C42");
  c.parts[1].prob = 0.09;
  EXPECT_EQ(PlaceName(c), "C41");
  // Most likely on neither: the part is a landmark.
  c.parts = {{"C41", 0.35}, {"C42", 0.12}};
  EXPECT_EQ(PlaceName(c), "near C41");
}

// Heat shows through the board: what is named may have to be looked for on its other side.
TEST(PlaceName, SaysThatAPartSitsOnTheOtherSide) {
  const Words& german = Words::Report("de");
  Candidate c;
  c.parts = {{"C20", 0.3, HeatSide::kFar}};
  EXPECT_EQ(PlaceName(c), "near C20 (other side)");
  EXPECT_EQ(PlaceName(c, german), "nahe C20 (andere Seite)");
  c.parts = {{"C20", 0.6, HeatSide::kNear}, {"C21", 0.2, HeatSide::kFar}};
  EXPECT_EQ(PlaceName(c), "C20 (perhaps C21, other side)");
  EXPECT_EQ(PlaceName(c, german), "C20 (vielleicht C21, andere Seite)");
  c.parts = {{"C20", 0.5, HeatSide::kFar}, {"C21", 0.4, HeatSide::kFar}};
  EXPECT_EQ(PlaceName(c), "C20 (other side) or C21 (other side)");
  c.parts = {{"C20", 0.7, HeatSide::kFar}, {"C21", 0.2, HeatSide::kFar}};
  EXPECT_EQ(PlaceName(c), "C20 (perhaps C21), other side");
  // A clip has a side of its own.
  c.contact = "PC1";
  EXPECT_EQ(PlaceName(c), "lead contact PC1");
}

// Not the place's percent: how likely each part is the one there.
TEST(PartsText, TellsThePartsPercentsWhereMoreThanOneIsNamed) {
  Candidate c;
  c.confidence = 0.97;
  c.parts = {{"C1", 0.74}, {"C2", 0.2}, {"R9", 0.04}};
  EXPECT_EQ(PartsText(c), "C1 74 %, C2 20 %");
  EXPECT_EQ(PartsText(c, Words::Report("de")), "C1 74 %, C2 20 %");
  c.parts = {{"C1", 0.98}};
  EXPECT_EQ(PartsText(c), "");
  c.parts = {{"C1", 0.3}};  // Near it, rather than on it.
  EXPECT_EQ(PartsText(c), "C1 30 %");
  c.contact = "PC1";
  EXPECT_EQ(PartsText(c), "");
}

TEST(VerdictText, SaysEachVerdictInPlainWords) {
  using ohmglow::testing::MakeSampleResult;
  EXPECT_EQ(VerdictText(MakeSampleResult({3, Verdict::kFound})),
            "Very likely the fault: C41 (perhaps C42).");
  EXPECT_EQ(VerdictText(MakeSampleResult({3, Verdict::kSeveral})),
            "More than one fault: C41 (perhaps C42) and U7.");
  const LocateResult none = MakeSampleResult({0, Verdict::kNone});
  EXPECT_EQ(VerdictText(none), "No fault seen.");
  EXPECT_EQ(VerdictDetail(none),
            "At a typical place in view, a fault above 4.2 mW would usually have shown.");
}

TEST(VerdictText, ClaimsNoSightWithoutFaultWhereHeatIsPassedOver) {
  LocateResult none = ohmglow::testing::MakeSampleResult({2, Verdict::kNone});
  EXPECT_NE(VerdictDetail(none).find("look like something else"), std::string::npos);
  none.advice.push_back(Remark(RemarkKind::kPassedOver).With("place", 1).With("rise_k", 8.0));
  EXPECT_EQ(VerdictText(none), "Heat was seen, but no place stands out as the fault.");
  EXPECT_EQ(VerdictDetail(none).find("something else"), std::string::npos);
}

}  // namespace
}  // namespace ohmglow::internal
