// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "base/made_ahead.h"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>
#include <string>
#include <vector>

namespace ohmglow::internal {
namespace {

// One thread or several: sets the number for a test and back.
class Threads {
 public:
  explicit Threads(int count) { cv::setNumThreads(count); }
  ~Threads() { cv::setNumThreads(before_); }
  Threads(const Threads&) = delete;
  Threads& operator=(const Threads&) = delete;

 private:
  int before_ = cv::getNumThreads();
};

class MadeAheadTest : public testing::TestWithParam<int> {};

TEST_P(MadeAheadTest, GivesEachItemOnceAndInOrder) {
  const Threads threads(GetParam());
  constexpr std::size_t kCount = 500;
  std::vector<std::size_t> asked;
  std::vector<int> got;
  {
    MadeAhead<int> items(kCount, [&](std::size_t i, int& item) {
      asked.push_back(i);
      item = static_cast<int>(i * i);
    });
    for (std::size_t i = 0; i < kCount; ++i) got.push_back(items.Next());
  }
  ASSERT_EQ(asked.size(), kCount);
  for (std::size_t i = 0; i < kCount; ++i) {
    EXPECT_EQ(asked[i], i);
    EXPECT_EQ(got[i], static_cast<int>(i * i));
  }
}

TEST_P(MadeAheadTest, LeavesTheItemInUseAlone) {
  const Threads threads(GetParam());
  MadeAhead<std::string> items(50,
                               [](std::size_t i, std::string& item) { item = std::to_string(i); });
  for (int i = 0; i < 50; ++i) {
    const std::string& item = items.Next();
    const std::string at_first = item;
    std::this_thread::sleep_for(std::chrono::microseconds(200));
    EXPECT_EQ(item, at_first);
    EXPECT_EQ(item, std::to_string(i));
  }
}

TEST_P(MadeAheadTest, HandsOnWhatTheMakerThrewWhereItsItemIsAsked) {
  const Threads threads(GetParam());
  MadeAhead<int> items(10, [](std::size_t i, int& item) {
    if (i == 3) throw std::runtime_error("frame 3");
    item = 1;
  });
  for (int i = 0; i < 3; ++i) EXPECT_EQ(items.Next(), 1);
  EXPECT_THROW(items.Next(), std::runtime_error);
}

TEST_P(MadeAheadTest, EndsWhereNotAllIsTaken) {
  const Threads threads(GetParam());
  std::atomic<int> made = 0;
  {
    MadeAhead<int> items(1000, [&](std::size_t, int&) { ++made; });
    items.Next();
  }
  EXPECT_LE(made, 5);  // The one taken and those that wait.
  EXPECT_GE(made, 1);
}

INSTANTIATE_TEST_SUITE_P(Threads, MadeAheadTest, testing::Values(1, 2));

}  // namespace
}  // namespace ohmglow::internal
