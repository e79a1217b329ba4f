// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <sstream>

#include "simulate/case_writer.h"
#include "simulate/description.h"

namespace ohmglow::simulate {
namespace {

namespace fs = std::filesystem;

std::string Bytes(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// One small case, made once.
class TinyCase : public ::testing::Test {
 protected:
  static fs::path Folder(const std::string& name) {
    return fs::path(::testing::TempDir()) / ("ohmglow_tiny_" + std::to_string(::getpid()) + name);
  }
  static Scenario Tiny(std::uint64_t seed) {
    return Draw(ReadDescription(fs::path(OHMGLOW_TEST_DATA) / "tiny.ini"), seed);
  }
  static void SetUpTestSuite() {
    WriteCase(Tiny(8), Folder("a"));
    truth_ = nlohmann::json::parse(Bytes(Folder("a") / "truth.json"));
  }
  static void TearDownTestSuite() {
    for (const char* name : {"a", "b", "c"}) fs::remove_all(Folder(name));
  }
  static nlohmann::json truth_;
};

nlohmann::json TinyCase::truth_;

TEST_F(TinyCase, IsTheSameForTheSameSeedAndAnotherForAnother) {
  WriteCase(Tiny(8), Folder("b"));
  WriteCase(Tiny(9), Folder("c"));
  int files = 0;
  for (const auto& entry : fs::recursive_directory_iterator(Folder("a"))) {
    if (!entry.is_regular_file()) continue;
    ++files;
    const auto name = fs::relative(entry.path(), Folder("a"));
    EXPECT_EQ(Bytes(entry.path()), Bytes(Folder("b") / name)) << name;
    if (name.extension() != ".ini") {
      EXPECT_NE(Bytes(entry.path()), Bytes(Folder("c") / name)) << name;
    }
  }
  EXPECT_EQ(files, 9);
}

TEST_F(TinyCase, StoresSixteenBitFramesOneATime) {
  std::vector<cv::Mat> frames;
  ASSERT_TRUE(
      cv::imreadmulti((Folder("a") / "case/frames.tiff").string(), frames, cv::IMREAD_UNCHANGED));
  EXPECT_EQ(frames.size(), truth_["frames"].get<std::size_t>());
  EXPECT_EQ(frames.size(), truth_["shifts"].size());
  EXPECT_EQ(frames[0].type(), CV_16UC1);
  EXPECT_EQ(frames[0].size(), cv::Size(64, 48));
  std::istringstream times(Bytes(Folder("a") / "case/frames.csv"));
  std::size_t rows = 0;
  for (std::string line; std::getline(times, line);) ++rows;
  EXPECT_EQ(rows, frames.size() + 1);
}

TEST_F(TinyCase, HasEveryKeyThatTheScorerReads) {
  for (const char* key : {"case",
                          "template",
                          "board",
                          "side",
                          "motion",
                          "faults",
                          "sources",
                          "decoys",
                          "clock_offset_s",
                          "levels",
                          "camera",
                          "shifts",
                          "sigma_k",
                          "shutter_frames",
                          "bad_pixels"}) {
    EXPECT_TRUE(truth_.contains(key)) << key;
  }
  EXPECT_EQ(truth_["camera"]["size"], nlohmann::json({64, 48}));
  int faults = 0;
  for (const auto& source : truth_["sources"]) {
    for (const char* key : {"ref",
                            "frame_x",
                            "frame_y",
                            "near",
                            "power_w",
                            "exponent",
                            "is_fault",
                            "mm_per_pixel",
                            "side"}) {
      EXPECT_TRUE(source.contains(key)) << key;
    }
    if (!source["is_fault"]) continue;
    ++faults;
    for (const char* key : {"ideal_snr", "bound_x_px", "bound_y_px", "apparent_peak_k"}) {
      EXPECT_GT(source[key].get<double>(), 0) << key;
    }
  }
  EXPECT_EQ(faults, truth_["faults"].get<int>());
  EXPECT_EQ(truth_["shifts"][0], nlohmann::json({0.0, 0.0, 0.0, 1.0}));
}

// The hottest change of the mean frame lies at the stronger fault, where truth.json says.
TEST_F(TinyCase, ShowsTheFaultWhereTruthSays) {
  std::vector<cv::Mat> frames;
  ASSERT_TRUE(
      cv::imreadmulti((Folder("a") / "case/frames.tiff").string(), frames, cv::IMREAD_UNCHANGED));
  const double end_s =
      truth_["levels"][1]["end"].get<double>() - truth_["time_origin_s"].get<double>();
  const auto hot = static_cast<std::size_t>(end_s * 6) - 1;
  cv::Mat_<double> change(frames[0].size());
  for (int y = 0; y < change.rows; ++y) {
    for (int x = 0; x < change.cols; ++x) {
      change(y, x) = static_cast<double>(frames[hot].at<std::uint16_t>(y, x)) -
                     frames[1].at<std::uint16_t>(y, x);
    }
  }
  for (const auto& bad : truth_["bad_pixels"]) change(bad[1].get<int>(), bad[0].get<int>()) = 0;
  cv::Point at;
  cv::minMaxLoc(change, nullptr, nullptr, nullptr, &at);
  const auto& fault = truth_["sources"][0];
  const auto& moved = truth_["shifts"][hot];
  EXPECT_NEAR(at.x, fault["frame_x"].get<double>() + moved[0].get<double>(), 2.5);
  EXPECT_NEAR(at.y, fault["frame_y"].get<double>() + moved[1].get<double>(), 2.5);
}

}  // namespace
}  // namespace ohmglow::simulate
