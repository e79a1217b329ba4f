// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/what_if.h"

#include <gtest/gtest.h>

#include <memory>

#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

// Forty frames, one a second, each with its number in every pixel.
Case CaptureOfNumbers() {
  std::vector<Image> frames;
  Case job;
  for (int i = 0; i < 40; ++i) {
    frames.emplace_back(4, 5, static_cast<float>(i));
    job.frame_times_s.push_back(100.0 + i);
  }
  job.frames = std::make_shared<MemoryFrames>(std::move(frames));
  job.contacts = {{{1, 1}, "plus"}, {{2, 2}, "minus"}};
  for (const char* const ref : {"C1", "C2"}) {
    job.parts.emplace_back();
    job.parts.back().ref = ref;
  }
  return job;
}

float NumberOf(FrameSource& frames, int index) {
  Image frame;
  frames.Read(index, frame);
  return frame(0, 0);
}

TEST(Without, ReadsTheFramesThatStayWithTheirTimes) {
  const Case job = Without(CaptureOfNumbers(),
                           {.contacts = {}, .parts = {}, .spans = {{103, 105}, {130.5, 131}}});
  ASSERT_EQ(job.frames->count(), 36);
  ASSERT_EQ(job.frame_times_s.size(), 36U);
  for (int i = 0; i < job.frames->count(); ++i) {
    EXPECT_EQ(100 + NumberOf(*job.frames, i), job.frame_times_s[static_cast<std::size_t>(i)]);
  }
  EXPECT_EQ(NumberOf(*job.frames, 2), 2);
  EXPECT_EQ(NumberOf(*job.frames, 3), 6);
}

TEST(Without, TakesOutContactsAndParts) {
  const Case job = Without(CaptureOfNumbers(), {.contacts = {0}, .parts = {"C2"}, .spans = {}});
  ASSERT_EQ(job.contacts.size(), 1U);
  EXPECT_EQ(job.contacts.front().name, "minus");
  ASSERT_EQ(job.parts.size(), 1U);
  EXPECT_EQ(job.parts.front().ref, "C1");
  EXPECT_EQ(job.frames->count(), 40);
}

TEST(Without, RefusesToLeaveTooLittle) {
  EXPECT_THROW(static_cast<void>(Without(CaptureOfNumbers(),
                                         {.contacts = {}, .parts = {}, .spans = {{100, 130}}})),
               OptionError);
}

}  // namespace
}  // namespace ohmglow::desk
