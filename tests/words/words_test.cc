// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/words/words.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

template <typename Thrown>
std::string MessageOf(const std::string& text) {
  try {
    static_cast<void>(Words::Parse(text, "mine.ini"));
  } catch (const Thrown& error) {
    return error.what();
  }
  return "nothing thrown";
}

TEST(Words, ShipsCompleteLanguages) {
  ASSERT_GE(Words::Languages().size(), 2U);
  for (const std::string& language : Words::Languages()) {
    const Words words = Words::BuiltIn(language);
    EXPECT_TRUE(words.Missing().empty()) << language << ": " << words.Missing().front();
    EXPECT_TRUE(words.Unknown().empty()) << language << ": " << words.Unknown().front();
  }
  EXPECT_NE(Words::BuiltIn("de").Get("heading.found"), Words().Get("heading.found"));
}

TEST(Words, RefusesALanguageThatDoesNotExist) {
  try {
    static_cast<void>(Words::BuiltIn("xx"));
    FAIL() << "nothing thrown";
  } catch (const OptionError& error) {
    EXPECT_THAT(error.what(), AllOf(HasSubstr("'xx'"), HasSubstr("en, de"), HasSubstr("--words")));
  }
}

TEST(Words, TakesWhatIsMissingFromEnglishAndMarksIt) {
  const Words words = Words::Parse("heading.found = Ergebnis\n", "mine.ini");
  EXPECT_EQ(words.Get("heading.found"), "Ergebnis");
  EXPECT_EQ(words.Get("heading.done"), Words().Get("heading.done") + " [en]");
  EXPECT_EQ(words.Get("no.such.key"), "no.such.key [en]");
  EXPECT_EQ(words.Missing().size() + 1, Words::Parse("", "empty.ini").Missing().size());
}

TEST(Words, TellsWhichKeysNothingUses) {
  const Words words = Words::Parse("heading.fond = Ergebnis\n", "mine.ini");
  EXPECT_THAT(words.Unknown(), ::testing::ElementsAre("heading.fond"));
}

TEST(Words, ReadsCommentsLineEndsAndByteOrderMark) {
  const Words words = Words::Parse(
      "\xEF\xBB\xBF# mine\r\n\r\n  heading.found =  A = B; c # d \r\nheading.done = E", "mine.ini");
  EXPECT_EQ(words.Get("heading.found"), "A = B; c # d");
  EXPECT_EQ(words.Get("heading.done"), "E");
}

TEST(Words, RefusesBrokenLinesByFileAndLine) {
  EXPECT_THAT(MessageOf<InputError>("# a\nheading.found\n"),
              AllOf(HasSubstr("mine.ini, line 2"), HasSubstr("'heading.found'")));
  EXPECT_THAT(MessageOf<InputError>("= text\n"), HasSubstr("line 1"));
  EXPECT_THAT(MessageOf<InputError>("heading.found =\n"), HasSubstr("has no text"));
  EXPECT_THAT(MessageOf<InputError>("heading.found = a\nheading.found = b\n"),
              AllOf(HasSubstr("line 2"), HasSubstr("given twice")));
}

TEST(Words, RefusesWhatCannotBeFilledIn) {
  EXPECT_THAT(MessageOf<InputError>("place.part = Teil {nam}\n"),
              AllOf(HasSubstr("line 1"), HasSubstr("'{nam}'"), HasSubstr("{name}")));
  for (const char* text : {"Teil {name", "Teil name}", "Teil {na{me}", "Teil }name{"}) {
    EXPECT_THAT(MessageOf<InputError>(std::string("place.part = ") + text), HasSubstr("brace"))
        << text;
  }
}

TEST(Words, FillsInAndLeavesWhatHasNoValue) {
  const Words words = Words::Parse("list.two = {first} & {second}{first}", "mine.ini");
  EXPECT_EQ(words.Fill("list.two", {{"first", "a"}}), "a & {second}a");
  // A value is never read as a text to fill in.
  EXPECT_EQ(words.Fill("list.two", {{"first", "{second}"}, {"second", "b"}}),
            "{second} & b{second}");
}

// Unicode UAX #9: U+2068 first strong isolate, U+2069 pop directional isolate.
TEST(Words, IsolatesValuesOfTheOtherDirection) {
  const Words english;
  EXPECT_EQ(english.Fill("place.part", {{"name", "C41"}}), "part C41");
  EXPECT_EQ(english.Fill("place.part", {{"name", "\u05E7\u05D1 1"}}),
            "part \u2068\u05E7\u05D1 1\u2069");
  const Words hebrew = Words::Parse(
      "heading.found = \u05E9\u05DC\u05D5\u05DD\nplace.part = \u05D7\u05DC\u05E7 {name}", "he.ini");
  EXPECT_TRUE(hebrew.RightToLeft());
  EXPECT_FALSE(english.RightToLeft());
  EXPECT_EQ(hebrew.Fill("place.part", {{"name", "C41"}}), "\u05D7\u05DC\u05E7 \u2068C41\u2069");
}

TEST(Words, CleansAndCutsTexts) {
  const Words words = Words::Parse(
      "heading.found = a\x01\u202E"
      "b\x1b[31m\nheading.done = " +
          std::string(1U << 20U, 'x'),
      "m");
  EXPECT_EQ(words.Get("heading.found"), "ab[31m");
  EXPECT_LT(words.Get("heading.done").size(), 1000U);
}

}  // namespace
}  // namespace ohmglow
