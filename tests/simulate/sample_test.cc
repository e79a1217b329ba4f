// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <opencv2/imgcodecs.hpp>
#include <sstream>

#include "simulate/case_writer.h"
#include "simulate/description.h"

namespace ohmglow::simulate {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t kSeed = 3;  // As samples/tide-gauge/README.md says.

std::string Bytes(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

void ExpectSamePixels(const fs::path& stored, const fs::path& made) {
  std::vector<cv::Mat> a;
  std::vector<cv::Mat> b;
  ASSERT_TRUE(cv::imreadmulti(stored.string(), a, cv::IMREAD_UNCHANGED)) << stored;
  ASSERT_TRUE(cv::imreadmulti(made.string(), b, cv::IMREAD_UNCHANGED)) << made;
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t n = 0; n < a.size(); ++n) {
    ASSERT_EQ(a[n].size(), b[n].size());
    EXPECT_EQ(cv::norm(a[n], b[n], cv::NORM_INF), 0) << stored << ", page " << n;
  }
}

// Text byte for byte; pictures by their pixels, for another release of a
// compression library may pack the same pixels otherwise.
TEST(TideGauge, IsWhatItsDescriptionMakes) {
  const fs::path sample = OHMGLOW_SAMPLE;
  const fs::path made = fs::path(::testing::TempDir()) / "ohmglow_tide_gauge";
  WriteCase(Draw(ReadDescription(sample / "description.ini"), kSeed), made);
  for (const char* name : {"truth.json",
                           "case/case.ini",
                           "case/supply.csv",
                           "case/frames.csv",
                           "case/points.csv",
                           "case/parts.csv",
                           "case/contacts.csv"}) {
    ASSERT_FALSE(Bytes(sample / name).empty()) << name;
    EXPECT_EQ(Bytes(sample / name), Bytes(made / name)) << name;
  }
  ExpectSamePixels(sample / "case/frames.tiff", made / "case/frames.tiff");
  const cv::Mat stored = cv::imread((sample / "case/photo.png").string());
  const cv::Mat photo = cv::imread((made / "case/photo.png").string());
  ASSERT_EQ(stored.size(), photo.size());
  EXPECT_EQ(cv::norm(stored, photo, cv::NORM_INF), 0);
  fs::remove_all(made);
}

TEST(TideGauge, HasASmallCase) {
  std::uintmax_t bytes = 0;
  for (const auto& entry : fs::recursive_directory_iterator(fs::path(OHMGLOW_SAMPLE) / "case")) {
    if (entry.is_regular_file()) bytes += entry.file_size();
  }
  EXPECT_LT(bytes, 4U << 20);
}

}  // namespace
}  // namespace ohmglow::simulate
