// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "ohmglow/base/remark_kind.h"
#include "picture/answer_words.h"
#include "sheet/sheet_phrases.h"
#include "support/sample_sheet.h"

namespace ohmglow {
namespace {

using testing::MakeSampleRepair;
using testing::MakeSampleSheet;

const cv::Size kLandscape(1400, 1100);

// The page with one outcome of a second measurement.
SheetContent WithOutcome(RepairVerdict verdict) {
  SheetContent content = MakeSampleSheet({3, Verdict::kFound, kLandscape});
  content.repair = MakeSampleRepair(content.result);
  content.repair->verdict = verdict;
  return content;
}

TEST(SheetPhrases, AsksForTheRailToBeMeasuredWhereverThereWasAFault) {
  for (const auto& language : Words::Languages()) {
    const Words words = Words::BuiltIn(language);
    for (const auto verdict : {RepairVerdict::kRepaired,
                               RepairVerdict::kNotRepaired,
                               RepairVerdict::kNewPlace,
                               RepairVerdict::kUndecided}) {
      SheetContent content = WithOutcome(verdict);
      content.words = words;
      const std::string caution = internal::SheetPhrases(content).Caution();
      EXPECT_NE(caution.find(words.Get("caution.measure")), std::string::npos);
      const bool stands = caution.find(words.Get("caution") + " ") != std::string::npos;
      EXPECT_EQ(stands, verdict != RepairVerdict::kRepaired);
      content.repair.reset();
      EXPECT_NE(internal::SheetPhrases(content).Caution().find(words.Get("caution.measure")),
                std::string::npos);
    }
  }
}

TEST(SheetPhrases, NamesThePartsOutOfViewWhereNoFaultWasSeen) {
  SheetContent content = MakeSampleSheet({0, Verdict::kNone, kLandscape});
  EXPECT_EQ(internal::SheetPhrases(content).NotInView(), "");
  std::vector<Remark> names{Remark::Quoted("U7"), Remark::Quoted("C12\x1b")};
  content.result.advice.push_back(
      Remark(RemarkKind::kNotInView)
          .With("parts",
                Remark(RemarkKind::kPartsOfListMore).With("parts", names).With("count", 5)));
  const std::string text = internal::SheetPhrases(content).NotInView();
  EXPECT_NE(text.find("U7, C12 and 5 more."), std::string::npos) << text;
  content.words = Words::BuiltIn("de");
  EXPECT_NE(internal::SheetPhrases(content).NotInView().find("U7, C12 und 5 weitere."),
            std::string::npos);
  content.result.verdict = Verdict::kFound;
  EXPECT_EQ(internal::SheetPhrases(content).NotInView(), "");
}

TEST(SheetPhrases, TellsTheResistanceOfASecondMeasurement) {
  SheetContent content = WithOutcome(RepairVerdict::kRepaired);
  content.repair->resistance = {0.2134, 35.2, false};
  const auto text = [&] { return internal::SheetPhrases(content).Resistance(); };
  EXPECT_NE(text().find("210\u00A0m\u03A9 before the work, 35\u00A0\u03A9 after it."),
            std::string::npos)
      << text();
  content.repair->resistance->after_ohm = 1234;
  EXPECT_NE(text().find("1.2\u00A0k\u03A9"), std::string::npos) << text();
  content.repair->resistance->is_same = true;
  EXPECT_NE(text().find("the same as far as"), std::string::npos) << text();
  content.repair->resistance.reset();
  EXPECT_EQ(text(), "");
}

TEST(SheetPhrases, KeepsNumbersOnTheLineOfTheirSign) {
  for (const auto& language : Words::Languages()) {
    SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
    content.words = Words::BuiltIn(language);
    const std::string means = internal::SheetPhrases(content).Means();
    EXPECT_EQ(means.find(" %"), std::string::npos) << means;
    EXPECT_NE(means.find("60\u00A0%"), std::string::npos) << means;
  }
}

TEST(SheetPhrases, SaysTemperatureDifferencesInEitherUnit) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  content.result.candidates[0].rise_k = 2.5;
  EXPECT_NE(internal::SheetPhrases(content).Detail().find("2.5\u00A0\u00B0C"), std::string::npos);
  content.unit = TemperatureUnit::kFahrenheit;
  content.words = Words::BuiltIn("de");
  // A difference of 1 K is one of 1.8 degrees Fahrenheit (NIST SP 811, B.8).
  EXPECT_NE(internal::SheetPhrases(content).Detail().find("4,5\u00A0\u00B0F"), std::string::npos);
}

TEST(SheetPhrases, WritesDatesAsTheLanguageDoes) {
  SheetContent content;
  content.date = {2026, 3, 1};
  EXPECT_EQ(internal::SheetPhrases(content).Date(), "1 March 2026");
  content.words = Words::BuiltIn("de");
  EXPECT_EQ(internal::SheetPhrases(content).Date(), "1. M\u00E4rz 2026");
}

TEST(SheetPhrases, SaysHowSureAPlaceIs) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  const internal::SheetPhrases phrases(content);
  const std::vector<std::pair<double, std::string>> steps{{0.95, "almost certainly"},
                                                          {0.949, "very likely"},
                                                          {0.80, "very likely"},
                                                          {0.79, "likely"},
                                                          {0.59, "may be"},
                                                          {0.34, "stands out clearly"}};
  for (const auto& [confidence, words] : steps) {
    content.result.candidates[0].confidence = confidence;
    EXPECT_NE(phrases.Finding().find(words), std::string::npos)
        << confidence << ": " << phrases.Finding();
  }
}

// One level for every page: who gets the sheet and who gets the terminal read alike.
TEST(SheetPhrases, NamesTheSecondPartAsTheTechniciansListDoes) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  Candidate& place = content.result.candidates[0];
  const internal::SheetPhrases phrases(content);
  const std::vector<std::pair<std::vector<PartMatch>, std::vector<std::string>>> kinds{
      {{{"C3", 0.85}, {"C4", 0.09}}, {"C3", "part C3."}},
      {{{"C3", 0.6}, {"C4", 0.2}}, {"C3 (perhaps C4)", "part C3 (perhaps C4)."}},
      {{{"C3", 0.5}, {"C4", 0.31}}, {"C3 or C4", "part C3 or C4."}},
      {{{"C3", 0.3}, {"C4", 0.1}}, {"near C3", "a spot near part C3."}},
      {{{"C3", 0.85, HeatSide::kNear}}, {"C3", "part C3."}},
      {{{"C3", 0.85, HeatSide::kFar}}, {"C3 (other side)", "part C3 (on the other side)."}},
      {{{"C3", 0.3, HeatSide::kFar}},
       {"near C3 (other side)", "a spot near part C3 (on the other side)."}},
      {{{"C3", 0.5, HeatSide::kFar}, {"C4", 0.31, HeatSide::kNear}},
       {"C3 (other side) or C4", "part C3 (on the other side) or C4."}},
      {{{"C3", 0.6, HeatSide::kNear}, {"C4", 0.2, HeatSide::kFar}},
       {"C3 (perhaps C4, other side)", "part C3 (perhaps C4, on the other side)."}}};
  for (const auto& [parts, words] : kinds) {
    place.parts = parts;
    EXPECT_EQ(internal::PlaceName(place), words[0]);
    EXPECT_NE(phrases.Finding().find(words[1]), std::string::npos) << phrases.Finding();
  }
}

TEST(SheetPhrases, IsHonestWhereNothingWasFound) {
  SheetContent content = MakeSampleSheet({3, Verdict::kNone, kLandscape});
  const internal::SheetPhrases phrases(content);
  EXPECT_EQ(phrases.Finding(), content.words.Get("found.none"));
  EXPECT_NE(phrases.Detail().find("4.2\u00A0mW"), std::string::npos);
  EXPECT_TRUE(internal::SheetPhrases::Shown(content.result).empty());
  EXPECT_TRUE(phrases.Caution().empty());
}

}  // namespace
}  // namespace ohmglow
