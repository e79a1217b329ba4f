// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/picture/capture_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "support/sample_capture.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using ::testing::StartsWith;

std::string TextOf(Usable usable) {
  return ToCaptureText(testing::MakeSampleCapture(usable), testing::MakeSampleFiles());
}

TEST(ToCaptureText, BeginsWithTheAnswer) {
  EXPECT_THAT(TextOf(Usable::kYes), StartsWith("Usable: nothing"));
  EXPECT_THAT(TextOf(Usable::kWithWarnings), StartsWith("Usable, but 2 things"));
  EXPECT_THAT(TextOf(Usable::kNo), StartsWith("Not usable"));
}

TEST(ToCaptureText, FitsTheTerminal) {
  for (const Usable usable : {Usable::kYes, Usable::kWithWarnings, Usable::kNo}) {
    std::istringstream lines(TextOf(usable));
    for (std::string line; std::getline(lines, line);) {
      EXPECT_LE(internal::NumColumns(line), 80) << line;
    }
  }
}

TEST(ToCaptureText, SaysWhatWasFound) {
  const std::string text = TextOf(Usable::kWithWarnings);
  EXPECT_THAT(text, HasSubstr("frames   300 in 37.4 s, 8 a second; 2 missing"));
  EXPECT_THAT(text, HasSubstr("left out 7: the shutter was closed; 3: something covers"));
  EXPECT_THAT(text, HasSubstr("noise    45 mK a frame"));
  EXPECT_THAT(text, HasSubstr("0 A for 6.0 s, 1.5 A for 8.0 s, 0 A for 6.0 s"));
  EXPECT_THAT(text, HasSubstr("the log's clock is 1.23 s +- 0.10 s ahead of the frames'"));
  EXPECT_THAT(text, HasSubstr("27 of the side's 28\n           parts, not C7"));
  EXPECT_THAT(text, HasSubstr("a fault that takes 12 mW or more at 1.5 A"));
  EXPECT_THAT(text, HasSubstr("- The current only rises here. End at zero."));
}

TEST(ToCaptureText, CutsNothing) {
  const std::string name = "the board as it lay on the bench, connector to the left.png";
  const std::string understood =
      "1000 x 800 px; tied to the frames by what both show, good to 0.2 mm; landmarks would be "
      "surer";
  const Clause as_it_is{"file.as_it_is", Remark().With("text", understood)};
  std::vector<FileNote> files = testing::MakeSampleFiles();
  files.push_back({"photo", name, {as_it_is}});
  files.push_back({"points", "points.csv", {as_it_is}});
  std::istringstream words(ToCaptureText(testing::MakeSampleCapture(Usable::kYes), files));
  std::string text;
  for (std::string word; words >> word;) text += word + ' ';
  EXPECT_THAT(text, HasSubstr("photo " + name + " " + understood));
  EXPECT_THAT(text, HasSubstr("points points.csv " + understood));
  EXPECT_THAT(text, Not(HasSubstr("\u2026")));
}

TEST(ToCaptureText, SpeaksGerman) {
  const std::string text = ToCaptureText(testing::MakeSampleCapture(Usable::kWithWarnings),
                                         testing::MakeSampleFiles(),
                                         Words::Report("de"));
  EXPECT_THAT(text, StartsWith("Brauchbar, aber 2 Dinge"));
  EXPECT_THAT(text, HasSubstr("  Bilder      300 in 37,4 s, 8 je Sekunde; 2 fehlen"));
  EXPECT_THAT(text, HasSubstr("  weggelassen 7: "));
  EXPECT_THAT(text, HasSubstr("die Uhr des Protokolls geht 1,23 s ± 0,10 s vor"));
  EXPECT_THAT(text, HasSubstr("einen Fehler, der bei 1,5 A 12 mW oder mehr aufnimmt"));
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(internal::NumColumns(line), 80) << line;
  }
}

TEST(ToCaptureText, GivesNoNumberOfAClockThatIsOpen) {
  CaptureCheck check;
  check.clock_open = true;
  EXPECT_THAT(ToCaptureText(check, {}),
              HasSubstr("clock    how the log's clock runs against the frames' is not known"));
  EXPECT_FALSE(
      nlohmann::json::parse(ToCaptureJson(check, {}))["supply"].contains("clock_offset_s"));
}

TEST(ToCaptureText, SaysNothingOfWhatIsNotKnown) {
  const std::string text = ToCaptureText(CaptureCheck{}, {});
  for (const char* absent : {"noise", "clock", "levels", "shows", "Files", "To do", "nan"}) {
    EXPECT_THAT(text, Not(HasSubstr(absent)));
  }
}

TEST(ToCaptureJson, HoldsTheSameAndNoUnknownNumber) {
  const auto json = nlohmann::json::parse(
      ToCaptureJson(testing::MakeSampleCapture(Usable::kWithWarnings), testing::MakeSampleFiles()));
  EXPECT_EQ(json["usable"], "with_warnings");
  EXPECT_EQ(json["frames"]["left_out"][0]["frames"], 7);
  EXPECT_EQ(json["supply"]["levels"].size(), 3U);
  EXPECT_NEAR(json["detectable_w"].get<double>(), 0.0123, 1e-9);
  const auto bare = nlohmann::json::parse(ToCaptureJson(CaptureCheck{}, {}));
  EXPECT_FALSE(bare.contains("supply"));
  EXPECT_FALSE(bare.contains("noise"));
  EXPECT_EQ(bare["usable"], "no");
}

}  // namespace
}  // namespace ohmglow
