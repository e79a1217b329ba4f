// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/results.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow::calibrate {
namespace {

namespace fs = std::filesystem;

class ReadCapturesTest : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(::testing::TempDir()) / "ohmglow_calibrate";
    fs::remove_all(folder_);
    fs::create_directories(folder_ / "results" / "a-1");
    fs::create_directories(folder_ / "truth");
  }
  void Write(const fs::path& path, const std::string& text) const {
    std::ofstream(folder_ / path) << text;
  }
  [[nodiscard]] std::vector<Capture> Read() const {
    return ReadCaptures(folder_ / "results", folder_ / "truth", {"x", "y"});
  }

  fs::path folder_;
};

constexpr const char* kTruth = R"({"case": "a-1", "sources": [
  {"is_fault": true, "near": true, "mm_per_pixel": 0.5, "frame_x": 10, "frame_y": 10},
  {"is_fault": true, "near": false, "mm_per_pixel": 0.5, "frame_x": 50, "frame_y": 10},
  {"is_fault": false, "near": true, "mm_per_pixel": 0.5, "frame_x": 30, "frame_y": 30}]})";

// Near: 2.4 px are 1.2 mm; far: 7 px are 3.5 mm.
TEST_F(ReadCapturesTest, MarksFaultsAsTheScorerDoes) {
  Write("truth/a-1.truth.json", kTruth);
  Write("results/a-1/result.json", R"({"candidates": [
    {"frame_x": 12.3, "frame_y": 10, "confidence": 0.9,
     "evidence": [{"name": "y", "value": -2}, {"name": "x", "value": 1.5}]},
    {"frame_x": 12.5, "frame_y": 10, "confidence": 0.2, "evidence": []},
    {"frame_x": 56.9, "frame_y": 10, "confidence": 0.1, "evidence": []},
    {"frame_x": 30, "frame_y": 30, "confidence": 0, "evidence": []}]})");
  const std::vector<Capture> captures = Read();
  ASSERT_EQ(captures.size(), 1U);
  EXPECT_EQ(captures[0].num_faults, 2);
  ASSERT_EQ(captures[0].places.size(), 4U);
  EXPECT_TRUE(captures[0].places[0].is_fault);
  EXPECT_FALSE(captures[0].places[1].is_fault);
  EXPECT_TRUE(captures[0].places[2].is_fault);
  EXPECT_FALSE(captures[0].places[3].is_fault);
  EXPECT_EQ(captures[0].places[0].values, (std::vector<double>{1.5, -2}));
  EXPECT_EQ(captures[0].places[1].values, (std::vector<double>{0, 0}));
  EXPECT_EQ(captures[0].places[0].confidence, 0.9);
}

TEST_F(ReadCapturesTest, LeavesOutWhatHasNoTruthAndNamesTheFileThatIsBroken) {
  Write("results/a-1/result.json", "{");
  EXPECT_TRUE(Read().empty());
  Write("truth/a-1.truth.json", kTruth);
  try {
    (void)Read();
    FAIL();
  } catch (const InputError& e) {
    EXPECT_NE(std::string(e.what()).find("result.json"), std::string::npos) << e.what();
  }
  Write("results/a-1/result.json", R"({"candidates": [{"frame_x": 1}]})");
  EXPECT_THROW((void)Read(), InputError);
}

}  // namespace
}  // namespace ohmglow::calibrate
