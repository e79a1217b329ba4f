// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/words/say.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say_clauses.h"

namespace ohmglow {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const Words& German() { return Words::Report("de"); }

TEST(RemarkKind, HasAKeyOfItsOwn) {
  for (unsigned i = 0; i < static_cast<unsigned>(RemarkKind::kNum); ++i) {
    const auto kind = static_cast<RemarkKind>(i);
    EXPECT_EQ(KindOf(KeyOf(kind)), kind) << KeyOf(kind);
  }
  EXPECT_FALSE(KindOf("no_such_kind"));
  EXPECT_EQ(KeyOf(RemarkKind::kContactNear), "contact_near");
  EXPECT_EQ(KeyOf(RemarkKind::kLeadsInResistance), "leads_in_resistance");
}

// A stage's key in the catalogue is its kind's: none is said by its bare key.
TEST(Say, HasWordsForEveryKindInEveryLanguage) {
  for (const std::string& language : Words::Languages()) {
    const Words& words = Words::Report(language);
    EXPECT_TRUE(words.Missing().empty()) << language;
    EXPECT_TRUE(words.Unknown().empty()) << language;
    for (unsigned i = 1; i < static_cast<unsigned>(RemarkKind::kNum); ++i) {
      const auto kind = static_cast<RemarkKind>(i);
      const std::string text = Say(Remark(kind), words);
      EXPECT_EQ(text.find("remark."), std::string::npos) << text;
      EXPECT_EQ(text.find(Words::kFallbackSign), std::string::npos) << text;
    }
  }
}

TEST(Say, WritesNumbersAsTheLanguageDoes) {
  const Remark near = Remark(RemarkKind::kContactNear).With("distance_mm", 2.06);
  EXPECT_THAT(Say(near), HasSubstr("A lead contact is 2.1 mm away"));
  EXPECT_THAT(Say(near, German()), HasSubstr("ist 2,1 mm entfernt"));
  const Remark stepped = Remark(RemarkKind::kThenStepped)
                             .With("what", Remark(RemarkKind::kNoneRepeated))
                             .With("step_k", 0.5)
                             .With("shape_k", 0.25);
  EXPECT_EQ(Say(stepped),
            "no frame was repeated, then its mean stepped by +0.500 K and its shape by 0.250 K");
  const auto reading = [](double mohm) {
    return Say(Remark(RemarkKind::kReadAsResistance)
                   .With("mohm", mohm)
                   .With("low_mohm", 0.35)
                   .With("high_mohm", 170.4));
  };
  EXPECT_THAT(reading(9.44), HasSubstr("about 9.4 mOhm (0.35 to 170)"));
  EXPECT_THAT(reading(0.5), HasSubstr("about 0.50 mOhm"));
  const Remark fell =
      Remark(RemarkKind::kWrongOrderResistance).With("before_ohm", 12.4).With("after_ohm", 0.0321);
  EXPECT_THAT(Say(fell), HasSubstr("from 12 ohm to 32 milliohm"));
  EXPECT_THAT(Say(fell, German()), HasSubstr("von 12 Ohm auf 32 Milliohm"));
}

TEST(Say, ListsNamesAndPhrases) {
  const auto named = [](std::initializer_list<const char*> names) {
    std::vector<Remark> all;
    for (const char* name : names) all.push_back(Remark::Quoted(name));
    return all;
  };
  const auto parts = [&](std::initializer_list<const char*> names) {
    return Remark(RemarkKind::kPartsOfList).With("parts", named(names));
  };
  EXPECT_EQ(Say(parts({"U7"})), "U7");
  EXPECT_EQ(Say(parts({"U7", "C1", "C2"})), "U7, C1 and C2");
  EXPECT_EQ(Say(parts({"U7", "C1", "C2"}), German()), "U7, C1 und C2");
  const Remark more =
      Remark(RemarkKind::kPartsOfListMore).With("parts", named({"U7", "C1"})).With("count", 5);
  EXPECT_EQ(Say(more), "U7, C1 and 5 others of the parts list");
  const std::vector<Remark> places{
      Remark(RemarkKind::kNearPart).With("part", "U7"),
      Remark(RemarkKind::kAtBoard).With("x_mm", 12.34).With("y_mm", 40),
      Remark(RemarkKind::kAndMore).With("count", 2)};
  const Remark warm = Remark(RemarkKind::kWarmNoFault).With("places", places);
  EXPECT_THAT(Say(warm), HasSubstr("near U7; at 12.3, 40 mm and 2 more."));
  EXPECT_THAT(Say(warm, German()), HasSubstr("nahe U7; bei x = 12,3 mm, y = 40 mm und 2 weitere."));
}

TEST(Say, SaysPhrasesInShort) {
  const Remark lost(RemarkKind::kFrameLost);
  const Remark many = Remark(RemarkKind::kManyLeftOut)
                          .With("left_out", 40)
                          .With("frames", 200)
                          .With("reason", lost);
  EXPECT_THAT(Say(many), HasSubstr("most often: " + SayInShort(lost)));
  EXPECT_THAT(Say(many, German()), HasSubstr(SayInShort(lost, German())));
  EXPECT_THAT(Say(many), Not(HasSubstr(Say(lost))));
}

TEST(Say, CountsOne) {
  EXPECT_EQ(Say(Remark(RemarkKind::kFramesMissing).With("count", 1)),
            "1 frame is missing before it, by the time table");
  EXPECT_EQ(Say(Remark(RemarkKind::kFramesMissing).With("count", 3)),
            "3 frames are missing before it, by the time table");
}

TEST(Say, LeavesWhatIsQuotedAlone) {
  EXPECT_EQ(Say(Remark::Quoted("C1 {part} 0.5"), German()), "C1 {part} 0.5");
  // A value is never read as a text to fill in.
  EXPECT_EQ(Say(Remark(RemarkKind::kBesidePart).With("part", "{part}")),
            "It lies beside {part} rather than on it.");
}

TEST(SayClauses, SaysOneAfterTheOther) {
  const Remark rows = Remark().With("count", 120).With("seconds", 39.26);
  const Remark volts = Remark().With("low", 0).With("high", 1.234);
  const std::vector<Clause> said{{"file.rows", rows}, {"file.volts", volts}};
  EXPECT_EQ(SayClauses(said), "120 rows in 39.3 s, 0 to 1.23 V");
  EXPECT_EQ(SayClauses(said, German()), "120 Zeilen in 39,3 s, 0 bis 1,23 V");
  EXPECT_EQ(SayClauses({{"file.contacts", Remark().With("count", 1)}}), "1 lead contact");
  EXPECT_EQ(SayClauses({}), "");
}

TEST(SayInShort, TellsWhatIsAlike) {
  const Remark lost = Remark(RemarkKind::kFrameLost).With("correlation", 0.1).With("usual", 0.8);
  EXPECT_EQ(SayInShort(lost), "does not match the scene");
  EXPECT_EQ(SayInShort(Remark(RemarkKind::kFrameSaturated)),
            Say(Remark(RemarkKind::kFrameSaturated)));
}

TEST(Remark, KnowsWhetherItSaysAnything) {
  EXPECT_TRUE(Remark().empty());
  EXPECT_FALSE(Remark(RemarkKind::kHalo).empty());
  EXPECT_FALSE(Remark::Quoted("x").empty());
  EXPECT_EQ(Remark(RemarkKind::kHalo), Remark(RemarkKind::kHalo));
  EXPECT_FALSE(Remark(RemarkKind::kBarelyStandsOut).With("percent", 1) ==
               Remark(RemarkKind::kBarelyStandsOut).With("percent", 2));
}

TEST(Words, RefusesALanguageOfReportsThatDoesNotExist) {
  EXPECT_THROW((void)Words::Report("xx"), OptionError);
}

}  // namespace
}  // namespace ohmglow
