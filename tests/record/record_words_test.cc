// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/record_words.h"

#include <gtest/gtest.h>

#include <set>
#include <string>

#include "ohmglow/base/error.h"
#include "record/bench_text.h"
#include "record/plan_text.h"
#include "record/trip.h"

namespace ohmglow::record {
namespace {

TEST(RecordWords, AreThereInTheLanguagesOfTheProgramAlone) {
  EXPECT_THROW((void)RecordWords("xx"), OptionError);
  EXPECT_NE(RecordWords("de").Get("caution.head"), RecordWords("en").Get("caution.head"));
}

TEST(RecordWords, EveryReasonHasItsSentence) {
  for (const char* language : {"en", "de"}) {
    const Words words = RecordWords(language);
    std::set<std::string> sentences;
    for (int k = 0; k <= static_cast<int>(Cause::kAnswersLate); ++k) {
      const std::string text = TripText({static_cast<Cause>(k), 12.5, 60, "XYZ"}, words);
      EXPECT_EQ(text.find_first_of("{}"), std::string::npos) << text;
      EXPECT_EQ(text.find(Words::kFallbackSign), std::string::npos) << text;
      EXPECT_TRUE(sentences.insert(text).second) << "said twice: " << text;
    }
  }
}

TEST(RecordWords, NumbersHaveTheSignOfTheLanguage) {
  const Trip hot{Cause::kRise, 15.25, 15};
  EXPECT_EQ(TripText(hot, RecordWords("en")), "A place in view warmed by 15.2 K (limit 15 K).");
  EXPECT_EQ(TripText(hot, RecordWords("de")),
            "Eine Stelle im Bild wurde um 15,2 K wärmer (Grenze 15 K).");
  EXPECT_EQ(WattText(RecordWords("de"), 0.0021), "2,1 mW");
  EXPECT_EQ(WattText(RecordWords("en"), 1.2), "1.20 W");
}

TEST(PlanText, SaysStepsLimitsAndCautions) {
  SessionOptions options;
  options.limits = {1, 2, 15, 60, 60};
  options.pattern.top_amps_a = 2;
  const std::string text = PlanText(options, 0.0013, RecordWords());
  for (const char* part :
       {"     0-5", "0.5         1", "At most 1 V x 2 A = 2 W.", "15 K", "1.3 mW"}) {
    EXPECT_NE(text.find(part), std::string::npos) << part << " in\n" << text;
  }
  EXPECT_EQ(PlanText(options, {}, RecordWords()).find("mW"), std::string::npos);
  EXPECT_NE(CautionText(RecordWords()).find("mains"), std::string::npos);
}

TEST(BenchText, CriesWhereTheOutputDoesNotSayThatItIsOff) {
  RecordingEnd end;
  end.trip = Trip{Cause::kSupplyLost};
  const Words words = RecordWords();
  const std::string lost = EndText(end, false, "case-7", words);
  EXPECT_NE(lost.find("SWITCH IT OFF BY HAND"), std::string::npos);
  EXPECT_NE(lost.find("STOPPED: The connection to the supply broke."), std::string::npos);
  EXPECT_NE(lost.find("frames in case-7"), std::string::npos);
  end.off_read_back = true;
  EXPECT_EQ(EndText(end, false, "case-7", words).find("BY HAND"), std::string::npos);
  EXPECT_NE(TurnText(0.5, RecordWords("de")).find("\a"), std::string::npos);
  EXPECT_NE(TurnText(0.5, RecordWords("de")).find("0,5 A"), std::string::npos);
  EXPECT_NE(ReadyText({"a,b", 0.0021, 0.0771}, words).find("within 78 ms"), std::string::npos);
}

}  // namespace
}  // namespace ohmglow::record
