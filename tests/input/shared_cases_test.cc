// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

std::filesystem::path CasesFolder() {
  const char* const given = std::getenv("OHMGLOW_CASES");
  return given != nullptr ? given : OHMGLOW_CASES_DEFAULT;
}

// Every capture of the collection loads whole: all its tables, its first and
// last frame, at temperatures a bench has.
TEST(SharedCases, AllLoad) {
  const std::filesystem::path folder = CasesFolder();
  if (!std::filesystem::is_directory(folder)) {
    GTEST_SKIP() << "NO CAPTURES AT " << folder
                 << ": set OHMGLOW_CASES to their folder to run this";
  }
  int num_cases = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::filesystem::path file = entry.path() / "case.ini";
    if (!std::filesystem::exists(file)) continue;
    SCOPED_TRACE(file.string());
    ++num_cases;
    const Case job = LoadCase(file);
    EXPECT_EQ(job.title, entry.path().filename().string());
    ASSERT_GT(job.frames->count(), 100);
    EXPECT_EQ(job.frame_times_s.size(), static_cast<std::size_t>(job.frames->count()));
    ASSERT_TRUE(job.supply);
    EXPECT_GE(job.supply->time_s.size(), 2U);
    EXPECT_GE(job.landmarks.size(), 4U);
    EXPECT_FALSE(job.parts.empty());
    EXPECT_EQ(job.contacts.size(), 2U);
    EXPECT_FALSE(job.photo.empty());
    for (const int index : {0, job.frames->count() - 1}) {
      Image kelvin;
      job.frames->Read(index, kelvin);
      const double mean_k = cv::mean(kelvin, kelvin == kelvin)[0];
      EXPECT_GT(mean_k, 285);
      EXPECT_LT(mean_k, 320);
    }
  }
  EXPECT_GT(num_cases, 0) << "no case.ini below " << folder;
}

}  // namespace
}  // namespace ohmglow
