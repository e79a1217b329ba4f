// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "support/sample_result.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using testing::MakeSampleResult;

std::vector<std::string> Lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

LocateResult WithEvidence() {
  LocateResult result = MakeSampleResult({3, Verdict::kFound});
  result.candidates[0].evidence = {{"stands out of the noise", 1}, {"is no lead contact", 0.98}};
  result.candidates[1].evidence = {
      {"stands out of the noise", 0.5}, {"is no lead contact", 0.04}, {"lies on the board", 0.1}};
  result.candidates[2].evidence = {{"stands out of the noise", 1}};
  return result;
}

TEST(ToWhy, PutsWhatPartsTwoPlacesMostFirst) {
  const std::vector<std::string> lines = Lines(ToWhy(WithEvidence(), 2, 1));
  ASSERT_GE(lines.size(), 6U);
  EXPECT_NE(lines[0].find("place 2   place 1"), std::string::npos) << lines[0];
  EXPECT_NE(lines[1].find("is no lead contact"), std::string::npos) << lines[1];
  EXPECT_NE(lines[1].find("0.04      0.98   place 1, 24 times"), std::string::npos) << lines[1];
  // Asked of place 2 alone: nothing of the kind speaks against place 1.
  EXPECT_NE(lines[2].find("0.10      1.00   place 1, 10 times"), std::string::npos) << lines[2];
  EXPECT_NE(lines[3].find("stands out of the noise"), std::string::npos) << lines[3];
  // 0.5 x 0.04 x 0.1 against 1 x 0.98.
  EXPECT_NE(lines[4].find("the odds"), std::string::npos) << lines[4];
  EXPECT_NE(lines[4].find("0.002      0.98"), std::string::npos) << lines[4];
  EXPECT_NE(lines[5].find("Confidence"), std::string::npos) << lines[5];
  for (const std::string& line : lines) EXPECT_LE(line.size(), 110U) << line;
}

TEST(ToWhy, SpeaksGermanFromTheFileAsWell) {
  LocateResult result = WithEvidence();
  result.candidates[1].remarks = {Remark(RemarkKind::kBarelyStandsOut).With("percent", 12.4)};
  const Words& german = Words::Report("de");
  const std::string text = ToWhy(FromJson(ToJson(result), "result.json"), 2, 1, german);
  EXPECT_EQ(text, ToWhy(result, 2, 1, german));
  for (const char* wanted : {"Stelle 2", "ist kein Kontakt der Zuleitungen", "0,04", "nur 12 %"}) {
    EXPECT_NE(text.find(wanted), std::string::npos) << wanted << " is not in:\n" << text;
  }
  for (const std::string& line : Lines(text)) EXPECT_LE(internal::NumColumns(line), 110) << line;
}

TEST(ToWhy, ShowsThePlaceThatStandsAlone) {
  LocateResult result = WithEvidence();
  result.candidates.resize(1);
  const std::vector<std::string> lines = Lines(ToWhy(result, 1));
  ASSERT_GE(lines.size(), 5U);
  EXPECT_NE(lines[0].find("place 1"), std::string::npos) << lines[0];
  EXPECT_NE(lines[1].find("is no lead contact"), std::string::npos) << lines[1];
  EXPECT_NE(lines[2].find("the odds"), std::string::npos) << lines[2];
  EXPECT_NE(lines[2].find("0.98"), std::string::npos) << lines[2];
  EXPECT_THROW((void)ToWhy(result, 2), OptionError);
  result.candidates[0].evidence.clear();
  EXPECT_THROW((void)ToWhy(result, 1), DataError);
}

TEST(ToWhy, GathersWhatSaysNothing) {
  LocateResult result = WithEvidence();
  result.candidates[0].evidence.push_back({"warms itself", 1.002});
  result.candidates[0].evidence.push_back({"is no track", 1});
  result.candidates[2].evidence.push_back({"is no track", 0.3});
  result.candidates[2].evidence.push_back({"before looking", 3e-6});
  const std::string text = ToWhy(result, 1, 3);
  for (const std::string& line : Lines(text)) {
    EXPECT_EQ(line.find("1.00      1.00"), std::string::npos) << line;
  }
  EXPECT_NE(text.find("Says nothing here (1.00): warms itself, stands out of the noise.\n"),
            std::string::npos)
      << text;
  // 1 for one of the two parts them; no powers of ten.
  EXPECT_NE(text.find("1.00      0.30   place 1, 3.3 times"), std::string::npos) << text;
  EXPECT_NE(text.find("1.00  < 0.0001   place 1"), std::string::npos) << text;
  EXPECT_NE(ToWhy(result, 1).find("Says nothing here (1.00): "), std::string::npos);
}

TEST(ToWhy, ReadsBackWhatWasWritten) {
  const LocateResult result = WithEvidence();
  EXPECT_EQ(ToWhy(FromJson(ToJson(result), "result.json"), 1, 2), ToWhy(result, 1, 2));
}

TEST(ToWhy, RefusesWhatIsNotThere) {
  EXPECT_THROW((void)ToWhy(WithEvidence(), 4, 1), OptionError);
  EXPECT_THROW((void)ToWhy(WithEvidence(), 0, 1), OptionError);
  EXPECT_THROW((void)ToWhy(WithEvidence(), 2, 2), OptionError);
  EXPECT_THROW((void)ToWhy(MakeSampleResult({3, Verdict::kFound}), 1, 2), DataError);
}

bool GoesOn(const std::string& line) { return line.starts_with("     "); }

TEST(ToSummary, StaysWithinFifteenLinesOfHundredColumns) {
  for (const Verdict verdict : {Verdict::kFound, Verdict::kSeveral, Verdict::kNone}) {
    for (const int num : {0, 1, 3, 8}) {
      LocateResult result = MakeSampleResult({num, verdict});
      for (const bool hostile : {false, true}) {
        if (hostile) {
          for (Candidate& c : result.candidates) {
            c.parts = {{std::string(300, 'W') + "\n\x1b[31m", 0.6},
                       {"\u6C34" + std::string(99, 'q'), 0.4}};
            c.remarks = {Remark::Quoted(std::string(900, 'r') + "\n\n")};
          }
          result.advice = std::vector<Remark>(
              20, Remark::Quoted("but never " + std::string(250, 'a') + " b c"));
        }
        for (const char* language : {"en", "de"}) {
          const std::string text = ToSummary(result, Words::Report(language));
          EXPECT_EQ(text.find('\x1b'), std::string::npos);
          const std::vector<std::string> lines = Lines(text);
          const auto go_on = std::count_if(lines.begin(), lines.end(), GoesOn);
          const auto parts = std::count_if(lines.begin(), lines.end(), [](const auto& line) {
            return line.starts_with("   94 %") || line.starts_with("   71 %");
          });
          EXPECT_LE(lines.size(), 15U + static_cast<std::size_t>(go_on + parts)) << text;
          EXPECT_GE(lines.size(), 1U);
          for (const std::string& line : lines) EXPECT_LE(internal::NumColumns(line), 100) << line;
        }
      }
    }
  }
}

TEST(ToSummary, CutsNoSentence) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound});
  result.candidates[0].remarks = {
      Remark::Quoted("This remark is longer than a line of a hundred columns has room for, so that "
                     "it goes on in a second one, to its last word.")};
  result.candidates[0].parts = {{"CONNECTOR_OF_THE_DEEP_1", 0.6}, {"CONNECTOR_OF_THE_DEEP_2", 0.3}};
  const std::string text = ToSummary(result);
  EXPECT_EQ(text.find("\u2026"), std::string::npos) << text;
  EXPECT_NE(text.find("its last word."), std::string::npos) << text;
}

TEST(ToSummary, TellsThePlacesPercentFromTheParts) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound});
  result.candidates[0].parts = {{"C41", 0.74}, {"C42", 0.2}};
  EXPECT_NE(ToSummary(result).find("94 % is for the place; the part there: C41 74 %, C42 20 %."),
            std::string::npos)
      << ToSummary(result);
  result.candidates[0].parts = {{"C41", 0.98}};
  EXPECT_EQ(ToSummary(result).find("is for the place"), std::string::npos);
}

TEST(ToSummary, SaysWhereTheListWasLaidByItself) {
  LocateResult result = MakeSampleResult({});
  result.maps.remarks = {
      Remark(RemarkKind::kPartsLaidOnPhoto).With("percent", 97).With("error_mm", 0.3)};
  result.advice.push_back(result.maps.remarks[0]);
  const std::string text = ToSummary(result);
  const std::size_t at = text.find("Note: The parts list was laid on the photo by its outlines");
  ASSERT_NE(at, std::string::npos) << text;
  EXPECT_LT(at, text.find("1. "));
  EXPECT_EQ(text.find("was laid on the photo"), text.rfind("was laid on the photo"));
}

TEST(ToSummary, SaysWhatATechnicianNeeds) {
  LocateResult result = MakeSampleResult({3, Verdict::kFound});
  result.candidates[0].remarks = {Remark::Quoted("Said first."),
                                  Remark(RemarkKind::kContactNear).With("distance_mm", 3)};
  const std::string text = ToSummary(result);
  for (const char* wanted : {"Very likely the fault: C41",
                             "520 mW (420 to 650)",
                             "94 %",
                             "this side",
                             "lead contact",
                             "Take the power off",
                             "Caution"}) {
    EXPECT_NE(text.find(wanted), std::string::npos) << wanted;
  }
}

TEST(ToSummary, SpeaksGerman) {
  LocateResult result = MakeSampleResult({3, Verdict::kFound});
  result.candidates[0].power_w = 0.0052;
  result.candidates[0].power_low_w = 0.0042;
  result.candidates[0].power_high_w = 0.0065;
  result.candidates[0].remarks = {Remark(RemarkKind::kContactNear).With("distance_mm", 2.5)};
  result.advice = {Remark(RemarkKind::kCautionSupply)};
  const std::string text = ToSummary(result, Words::Report("de"));
  for (const char* wanted :
       {"Sehr wahrscheinlich der Fehler: C41 (vielleicht C42). Die Stelle nimmt etwa "
        "5,2 mW auf",
        "sehr wahrscheinlich, 94 %",
        "diese Seite",
        "ist 2,5 mm entfernt",
        "Als N\u00E4chstes:",
        "- Vorsicht: "}) {
    EXPECT_NE(text.find(wanted), std::string::npos) << wanted << " is not in:\n" << text;
  }
  EXPECT_EQ(text.find(Words::kFallbackSign), std::string::npos);
}

TEST(ToSummary, SaysWithoutAFaultWhatWouldHaveShown) {
  const std::string text = ToSummary(MakeSampleResult({2, Verdict::kNone}));
  EXPECT_EQ(text.find("No fault seen. At a typical place in view, a fault above 4.2 mW would "
                      "usually have shown."),
            0U);
  EXPECT_NE(text.find("probably no fault"), std::string::npos);
}

TEST(ToSummary, SaysOnceWhatHoldsOfSeveralPlaces) {
  LocateResult result = MakeSampleResult({3, Verdict::kNone});
  for (Candidate& c : result.candidates)
    c.remarks = {Remark::Quoted("Said first."), Remark(RemarkKind::kHalo)};
  const std::string text = ToSummary(result);
  EXPECT_EQ(text.find("It lies in the halo"), text.rfind("It lies in the halo")) << text;
  EXPECT_NE(text.find("It lies in the halo"), std::string::npos);
  EXPECT_NE(text.find("; same doubt as place 1\n3. "), std::string::npos) << text;
}

// The caution comes before the step it belongs to.
TEST(ToSummary, CautionsBeforeItSendsToTheBoard) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound});
  result.advice = {Remark::Quoted("Take it off."), Remark(RemarkKind::kCautionSupply)};
  const std::string text = ToSummary(result);
  EXPECT_LT(text.find("Caution: voltage limit"), text.find("Take it off."));
}

TEST(ToSummary, IsNoSurerOfASecondFaultThanTheList) {
  LocateResult result = MakeSampleResult({3, Verdict::kSeveral});
  result.candidates[0].confidence = 0.97;
  result.candidates[1].confidence = 0.9;
  result.candidates[2].confidence = 0.1;
  EXPECT_EQ(ToSummary(result).find("More than one fault: "), 0U);
  result.candidates[1].confidence = 0.6;
  const std::string text = ToSummary(result);
  EXPECT_EQ(text.find("Almost certainly the fault: "), 0U);
  EXPECT_NE(text.find("; perhaps also "), std::string::npos);
  // A third that is less sure takes nothing from the second.
  result.candidates[1].confidence = 0.9;
  result.candidates[2].confidence = 0.4;
  EXPECT_EQ(ToSummary(result).find("More than one fault: "), 0U);
  EXPECT_NE(ToSummary(result).find("; perhaps also "), std::string::npos);
}

TEST(ToSummary, NamesALeadContactAndGivesNoWattsToWhatIsNoHeatOfTheSupply) {
  LocateResult result = MakeSampleResult({3, Verdict::kFound});
  result.candidates[1].contact = "PC2";
  result.candidates[2].evidence = {{std::string(kFollowsSupply), 0.01, -5}};
  const std::string text = ToSummary(result);
  EXPECT_NE(text.find("2. lead contact PC2: "), std::string::npos);
  EXPECT_NE(text.find("; not heated by the supply; "), std::string::npos);
}

TEST(ToSummary, SaysWhereTheRestOfThePowerGoes) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound});
  result.supply_path = SupplyPath{2, 0.0, 0.015, 0.5, 0.01};  // 2 W
  result.candidates[0].power_w = 0.6;
  result.advice = {Remark::Quoted("Take it off.")};
  EXPECT_NE(ToSummary(result).find("Of the supply's 2 W at 2 A, about 30 % warm the fault"),
            std::string::npos)
      << ToSummary(result);
  result.verdict = Verdict::kNone;
  EXPECT_EQ(ToSummary(result).find("the supply's 2 W"), std::string::npos);
}

TEST(ToSummary, SaysFirstWhatMakesTheAnswerDoubtful) {
  LocateResult result = MakeSampleResult({});
  result.maps.remarks = {Remark(RemarkKind::kPhotoNotLaid).With("percent", 30)};
  const Remark level = Remark(RemarkKind::kLevel).With("level", 3).With("amps_a", 0.5);
  result.supply_remarks = {Remark(RemarkKind::kLevelWithoutTrace).With("levels", level)};
  result.advice = {Remark::Quoted("Take it off."),
                   Remark(RemarkKind::kCautionSupply),
                   result.supply_remarks[0],
                   Remark(RemarkKind::kScaleIsGuess).With("mm_per_pixel", 0.5)};
  result.advice.push_back(result.maps.remarks[0]);
  const std::string text = ToSummary(result);
  const auto at = [&](const char* words) { return text.find(words); };
  EXPECT_LT(at("Note: The photo cannot be laid"), at("1. "));
  EXPECT_LT(at("level 3"), at("Caution: voltage limit"));
  EXPECT_LT(at("The scale is a guess"), at("Caution: voltage limit"));
  EXPECT_NE(at("Caution: voltage limit"), std::string::npos);
  // Said once.
  EXPECT_EQ(text.find("The photo cannot", at("The photo cannot") + 1), std::string::npos);
}

TEST(ToSummary, SaysOnceAndFirstThatTheLevelsDoNotFit) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound});
  result.currents_known = false;
  result.supply_remarks = {Remark(RemarkKind::kLevelsDoNotFit)};
  result.advice = {result.supply_remarks[0], Remark::Quoted("Take it off.")};
  const std::string text = ToSummary(result);
  EXPECT_TRUE(text.starts_with("The currents that were given do not fit")) << text;
  EXPECT_EQ(text.find("do not fit"), text.rfind("do not fit")) << text;
  EXPECT_EQ(text.find("found in the frames alone"), std::string::npos) << text;
}

// A note for which there is no room stays an advice.
TEST(ToSummary, LosesNoNoteForWantOfRoom) {
  LocateResult result = MakeSampleResult({1, Verdict::kFound});
  result.supply_remarks = {
      Remark(RemarkKind::kLevelWithoutTrace)
          .With("levels", Remark(RemarkKind::kLevel).With("level", 3).With("amps_a", 0.5)),
      Remark(RemarkKind::kLevelsHardlyTold)};
  result.maps.remarks = {Remark(RemarkKind::kPhotoNotLaid).With("percent", 30),
                         Remark(RemarkKind::kListPerhapsOther)};
  result.advice = result.supply_remarks;
  result.advice.insert(result.advice.end(), result.maps.remarks.begin(), result.maps.remarks.end());
  const std::string text = ToSummary(result);
  for (const char* words :
       {"level 3", "hardly tell", "photo cannot be laid", "list may be of another"}) {
    EXPECT_NE(text.find(words), std::string::npos) << words << "\n" << text;
    EXPECT_EQ(text.find(words), text.rfind(words)) << text;
  }
}

TEST(ToSummary, SaysBeforeThePlacesThatTheListMayBeAnotherBoards) {
  LocateResult result = MakeSampleResult({});
  result.maps.remarks = {Remark(RemarkKind::kListPerhapsOther)};
  const std::string text = ToSummary(result);
  EXPECT_LT(text.find("Note: The parts list may be of another board"), text.find("1. "));
}

TEST(ToSummary, SaysOnceWhatWasLostOrGuessed) {
  LocateResult result = MakeSampleResult({8, Verdict::kFound});
  const std::size_t usual = Lines(ToSummary(result)).size();
  result.assumed = {{"surface.film_w_m2k", "10 W/(m2 K)"},
                    {"supply.log", "without 3 of its 84 rows"},
                    {"supply.log", "laid on the frames by the time of day"},
                    {"frames.source", "left out, lost.tiff", AssumedHow::kInFolder, "found"},
                    {"frames.rate_hz", "8 Hz"}};
  result.assumed[1].told = Remark(RemarkKind::kLogRowsLost)
                               .With("rows", 3)
                               .With("all", 84)
                               .With("why", "row 12: 'x' is no number");
  const std::string text = ToSummary(result);
  const std::string note =
      "Note: Lost or guessed: 3 of the log's 84 rows (row 12: 'x' is no number); the ";
  EXPECT_NE(text.find(note), std::string::npos) << text;
  EXPECT_LT(text.find(note), text.find("1. "));
  EXPECT_NE(text.find("8 Hz"), std::string::npos) << text;
  for (const char* other : {"film_w", "found)", "time of day", "Emissivity"}) {
    EXPECT_EQ(text.find(other), std::string::npos) << text;
  }
  EXPECT_LE(Lines(text).size(), usual + 2);
  EXPECT_NE(ToSummary(result, Words::Report("de")).find("3 von 84 Zeilen der Aufzeichnung"),
            std::string::npos);
  // Where the times cannot be, a note of its own says that they are guessed.
  result.supply_remarks = {
      Remark(RemarkKind::kSpansDiffer)
          .With("frames_s", 30)
          .With("log_s", 90)
          .With("how", Remark(RemarkKind::kGuessedByRate).With("rate", "8 Hz"))};
  const std::string once = ToSummary(result);
  EXPECT_EQ(once.find("8 Hz"), once.rfind("8 Hz")) << once;
}

TEST(ToSummary, TellsFramesAndPartsThatWereLost) {
  LocateResult result = MakeSampleResult({});
  Assumption frames{"frames.source", "f.tiff: the recording is cut off"};
  frames.told = Remark::Quoted("2 of 80 frames at its end are lost");
  Assumption parts{"board.parts", "p.csv"};
  parts.told = Remark(RemarkKind::kPartRowsLost).With("what", "left out: row 7");
  result.assumed = {
      frames, {"board.parts", "p.csv", AssumedHow::kDefault, "guessed from their kinds"}, parts};
  const std::string text = ToSummary(result);
  EXPECT_NE(text.find("2 of 80 frames"), std::string::npos) << text;
  EXPECT_NE(text.find("rows of the parts list, left out: row 7"), std::string::npos) << text;
  EXPECT_EQ(text.find("from their kinds"), std::string::npos) << text;
  // Of what the other side's capture lost its own summary tells.
  for (Assumption& one : result.assumed) one.whose = "other side (back.ini)";
  EXPECT_EQ(ToSummary(result).find("2 of 80 frames"), std::string::npos);
}

TEST(ToSummary, NamesTheEmissivityThatTheWattsFollow) {
  LocateResult result = MakeSampleResult({});
  result.assumed = {{"surface.regions", "1 place of another emissivity, 0.3: U3"}};
  result.assumed[0].told = Remark(RemarkKind::kWattsByEmissivity)
                               .With("values", Remark(RemarkKind::kOneValue).With("value", 0.3))
                               .With("places", "U3");
  const std::string line = "missivity 0.3 used for U3: watts follow it.";
  EXPECT_NE(ToSummary(result).find("Note: E" + line), std::string::npos);
  LocateResult told = WithEvidence();
  told.assumed = result.assumed;
  EXPECT_NE(ToWhy(told, 2, 1).find("E" + line), std::string::npos);
  result.assumed[0].told =
      Remark(RemarkKind::kWattsByEmissivity)
          .With("values", Remark(RemarkKind::kSpan).With("least", 0.15).With("most", 0.3))
          .With("places", Remark(RemarkKind::kPlacesGiven));
  EXPECT_NE(ToSummary(result).find("Emissivity 0.15 to 0.3 used for the places given"),
            std::string::npos);
  EXPECT_NE(ToSummary(result, Words::Report("de")).find("Emissionsgrad 0,15 bis 0,3"),
            std::string::npos);
  // Places in millimetres of a board that lies nowhere took no part.
  result.advice.push_back(Remark(RemarkKind::kRegionsUntied).With("count", 2));
  EXPECT_EQ(ToSummary(result).find("Emissivity"), std::string::npos);
}

TEST(ToSummary, KeepsCautionsWhereAdviceMustBeCut) {
  LocateResult result = MakeSampleResult({8, Verdict::kFound});
  result.advice = {Remark::Quoted("First step."),
                   Remark::Quoted("Second."),
                   Remark::Quoted("Third."),
                   Remark::Quoted("Fourth."),
                   Remark::Quoted("Fifth."),
                   Remark::Quoted("Sixth."),
                   Remark(RemarkKind::kCautionHot).With("rise_k", 40)};
  const std::string text = ToSummary(result);
  EXPECT_NE(text.find("First step."), std::string::npos);
  EXPECT_NE(text.find("Caution"), std::string::npos);
  EXPECT_NE(text.find("result.json"), std::string::npos);
}

}  // namespace
}  // namespace ohmglow
