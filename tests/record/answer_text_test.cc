// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/answer_text.h"

#include <gtest/gtest.h>

#include "record/record_words.h"

namespace ohmglow::record {
namespace {

LocateResult AnswerOf(double first, double second) {
  LocateResult result;
  result.candidates.resize(2);
  result.candidates[0].parts = {{"C3", 0.9}};
  result.candidates[0].confidence = first;
  result.candidates[1].parts = {{"R7", 0.9}};
  result.candidates[1].confidence = second;
  return result;
}

bool Holds(const std::string& text, const std::string& piece) {
  return text.find(piece) != std::string::npos;
}

TEST(AnswerTextTest, SaysHowProbabilitiesMovedWhereTheyDid) {
  AnswerText text(RecordWords());
  EXPECT_FALSE(Holds(text.Lines(AnswerOf(0.62, 0.2), 0.5), "("));
  const std::string moved = text.Lines(AnswerOf(0.9, 0.05), 0.6);
  EXPECT_TRUE(Holds(moved, " 90 % (+28)")) << moved;
  EXPECT_TRUE(Holds(moved, "  5 % (-15)")) << moved;
  const std::string same = text.Lines(AnswerOf(0.897, 0.051), 0.7);
  EXPECT_FALSE(Holds(same, "(")) << same;
}

TEST(AnswerTextTest, CallsNothingImpossible) {
  AnswerText text(RecordWords());
  const std::string lines = text.Lines(AnswerOf(0.98, 0.003), 0.5);
  EXPECT_TRUE(Holds(lines, " 98 % ")) << lines;
  EXPECT_TRUE(Holds(lines, " <1 % ")) << lines;
}

}  // namespace
}  // namespace ohmglow::record
