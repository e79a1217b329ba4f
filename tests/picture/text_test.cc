// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/text.h"

#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <string>
#include <vector>

#include "ohmglow/base/remark_kind.h"
#include "picture/answer_words.h"
#include "support/sample_result.h"

namespace ohmglow::internal {
namespace {

using namespace std::string_literals;

TEST(CleanText, RemovesControlAndDirectionCharacters) {
  EXPECT_EQ(CleanText("a\0b\x1b[31m\x7f"s, 99), "ab[31m");
  EXPECT_EQ(CleanText("C1\u202E\u2066\u200B\uFEFF7", 99), "C17");
  EXPECT_EQ(CleanText(" a\r\n\tb  ", 99), "a b");
}

// Malformed sequences of RFC 3629, section 3: stray and missing continuation,
// overlong form, surrogate, beyond U+10FFFF.
TEST(CleanText, ReplacesWhatIsNotUtf8) {
  for (const std::string& bad :
       {"\x80"s, "\xC3"s, "\xC0\xAF"s, "\xED\xA0\x80"s, "\xF4\x90\x80\x80"s}) {
    const std::string clean = CleanText("x" + bad + "y", 99);
    EXPECT_EQ(clean.front(), 'x');
    EXPECT_EQ(clean.back(), 'y');
    EXPECT_NE(clean.find("\uFFFD"), std::string::npos);
    EXPECT_EQ(CleanText(clean, 99), clean);
  }
}

TEST(CleanText, CutsAtCodePointsWithAnEllipsis) {
  EXPECT_EQ(CleanText("\u00E4\u00F6\u00FC", 3), "\u00E4\u00F6\u00FC");
  EXPECT_EQ(CleanText("\u00E4\u00F6\u00FC\u00DF", 3), "\u00E4\u00F6\u2026");
  EXPECT_EQ(CleanText(std::string(5000, 'x'), 200).size(), 199 + "\u2026"s.size());
}

TEST(NumColumns, CountsWideAndCombiningCharacters) {
  EXPECT_EQ(NumColumns("abc"), 3);
  EXPECT_EQ(NumColumns("e\u0301"), 1);
  EXPECT_EQ(NumColumns("\u6C34\u4F4D"), 4);
  EXPECT_LE(NumColumns(CutToColumns("\u6C34\u4F4D\u8A08", 4)), 4);
}

TEST(WrapColumns, KeepsEveryWordAndEveryLimit) {
  const auto lines = WrapColumns("- one two three four", 10, 2);
  EXPECT_EQ(lines, (std::vector<std::string>{"- one two", "  three", "  four"}));
  for (const std::string& line : WrapColumns(std::string(300, 'x') + " y", 20, 2)) {
    EXPECT_LE(NumColumns(line), 20);
  }
}

TEST(FormatPower, PicksUnitAndTwoDigits) {
  EXPECT_EQ(FormatPower(0.5249), "520 mW");
  EXPECT_EQ(FormatPower(1.94), "1.9 W");
  EXPECT_EQ(FormatPower(0.0093), "9.3 mW");
  EXPECT_EQ(FormatPower(0.00008), "0.08 mW");
  EXPECT_EQ(FormatPower(0.000008), "8 \u00B5W");
  EXPECT_EQ(FormatPower(0.9996), "1 W");
  EXPECT_EQ(FormatPower(0), "0 mW");
  EXPECT_EQ(FormatPowerRange(0.52, 0.43, 1.26), "520 mW (430 to 1300)");
  EXPECT_EQ(FormatPowerRange(0.52, 0.43, 0.43), "520 mW");
}

TEST(FormatDigits, WritesPlainNumbersInAnyLocale) {
  EXPECT_EQ(FormatDigits(0.1 + 0.2, 6), "0.3");
  EXPECT_EQ(FormatDigits(123456, 2), "120000");
  EXPECT_EQ(FormatDigits(-0.0, 2), "0");
  const bool changed = std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr;
  EXPECT_EQ(FormatDigits(1.5, 2), "1.5") << "locale changed: " << changed;
  std::setlocale(LC_ALL, "C");
}

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
  // A clip has a side of its own.
  c.contact = "PC1";
  EXPECT_EQ(PlaceName(c), "lead contact PC1");
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
