// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/running_answer.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <stdexcept>

namespace ohmglow::record {
namespace {

// Without a list of parts a place is told by where it lies: an answer that moves by a tenth
// of a pixel means the same place.
TEST(ViewOf, APlaceWithoutAPartIsStillOnePlace) {
  LocateResult result;
  result.verdict = Verdict::kFound;
  Candidate place;
  place.confidence = 0.99;
  place.frame_px = {20, 10};
  result.candidates = {place};
  Sureness sure(0.97);
  sure.Hear(ViewOf(result));
  EXPECT_FALSE(sure.enough());
  result.candidates.front().frame_px = {20.6, 10.1};
  sure.Hear(ViewOf(result));
  EXPECT_TRUE(sure.enough());
}

// Such as a library throws, or memory that is short.
TEST(RunningAnswer, WhatALookThrowsEndsNoRecording) {
  RunningAnswer answers(
      {},
      [](const std::filesystem::path &,
         const LocateOptions &,
         FilmSoFar &,
         const std::atomic<bool> &) -> Answer { throw std::runtime_error("odd"); });
  answers.Start("case.ini");
  std::optional<Answer> answer;
  for (int n = 0; n < 500 && !answer; ++n, usleep(10'000)) answer = answers.Take();
  ASSERT_TRUE(answer);
  EXPECT_FALSE(answer->result);
  EXPECT_EQ(answer->why_not, "odd");
  EXPECT_FALSE(answers.busy());
}

}  // namespace
}  // namespace ohmglow::record
