// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/sheet/sheet.h"

#include <gtest/gtest.h>

#include <limits>
#include <opencv2/imgcodecs.hpp>

#include "ohmglow/base/error.h"
#include "support/sample_sheet.h"

namespace ohmglow {
namespace {

using testing::MakeSampleRepair;
using testing::MakeSampleSheet;

const cv::Size kLandscape(1400, 1100);

std::string Jpeg(const cv::Mat& bgr) {
  std::vector<unsigned char> bytes;
  cv::imencode(".jpg", bgr, bytes);
  return {bytes.begin(), bytes.end()};
}

TEST(DrawSheetPdf, GivesTheSameBytesEveryTime) {
  SheetContent content = MakeSampleSheet({3, Verdict::kFound, kLandscape});
  content.encode_jpeg = Jpeg;
  const std::string pdf = DrawSheetPdf(content);
  EXPECT_EQ(pdf.substr(0, 8), "%PDF-1.4");
  EXPECT_EQ(pdf, DrawSheetPdf(content));
  EXPECT_NE(pdf.find("/Creator (ohmglow "), std::string::npos);
  EXPECT_NE(pdf.find("D:20261125"), std::string::npos) << "dated by the page, not by the clock";
  content.result.title += "!";
  EXPECT_NE(pdf, DrawSheetPdf(content));
}

TEST(DrawSheetPdf, HoldsPicturesAsJpegWhereItCan) {
  SheetContent content = MakeSampleSheet({3, Verdict::kFound, kLandscape});
  cv::theRNG().state = 7;
  cv::randu(content.photo, cv::Scalar::all(0), cv::Scalar::all(255));
  const std::size_t bare = DrawSheetPdf(content).size();
  content.encode_jpeg = Jpeg;
  const std::string pdf = DrawSheetPdf(content);
  EXPECT_NE(pdf.find("/DCTDecode"), std::string::npos);
  EXPECT_LT(pdf.size(), bare);
}

TEST(DrawSheetPicture, HasThePapersShape) {
  SheetContent content = MakeSampleSheet({1, Verdict::kFound, kLandscape});
  // ISO 216: 210 mm x 297 mm.
  EXPECT_EQ(DrawSheetPicture(content, 100).size(), cv::Size(827, 1169));
  content.paper = Paper::kLetter;
  EXPECT_EQ(DrawSheetPicture(content, 100).size(), cv::Size(850, 1100));
  for (const double dots : {0.0, 19.0, 601.0, std::numeric_limits<double>::quiet_NaN()}) {
    EXPECT_THROW(static_cast<void>(DrawSheetPicture(content, dots)), OptionError);
  }
}

TEST(DrawSheetPicture, LeavesTheMarginsFree) {
  SheetContent content = MakeSampleSheet({10, Verdict::kSeveral, kLandscape});
  content.repair = MakeSampleRepair(content.result);
  content.result.title = std::string(1000, 'W');
  const cv::Mat page = DrawSheetPicture(content, 72);
  const int margin = 38;
  for (const cv::Rect edge : {cv::Rect(0, 0, page.cols, margin),
                              cv::Rect(0, page.rows - margin, page.cols, margin),
                              cv::Rect(0, 0, margin, page.rows),
                              cv::Rect(page.cols - margin, 0, margin, page.rows)}) {
    double least = 0;
    cv::minMaxLoc(page(edge).clone().reshape(1), &least);
    EXPECT_EQ(least, 255) << edge;
  }
}

TEST(DrawSheetPicture, ChangesNoInput) {
  SheetContent content = MakeSampleSheet({3, Verdict::kFound, kLandscape});
  content.repair = MakeSampleRepair(content.result);
  const cv::Mat photo = content.photo.clone();
  const cv::Mat after = content.repair->after_k.clone();
  static_cast<void>(DrawSheetPicture(content, 50));
  EXPECT_EQ(cv::norm(photo, content.photo, cv::NORM_INF), 0);
  const std::size_t size = after.total() * sizeof(float);
  EXPECT_EQ(std::memcmp(after.data, content.repair->after_k.data, size), 0);
}

TEST(DrawSheetPicture, SurvivesNumbersThatAreNone) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  SheetContent content = MakeSampleSheet({3, Verdict::kSeveral, kLandscape});
  for (auto& candidate : content.result.candidates) {
    candidate.confidence = 0.5;
    candidate.rise_k = candidate.power_w = candidate.width_mm = nan;
    candidate.frame_px = {nan, nan};
    candidate.photo_px = Point(nan, nan);
  }
  content.result.response_k.setTo(std::numeric_limits<float>::quiet_NaN());
  content.result.noise_response_k = content.result.detectable_w = nan;
  content.repair = MakeSampleRepair(content.result);
  content.repair->prob = nan;
  EXPECT_FALSE(DrawSheetPicture(content, 50).empty());
  EXPECT_FALSE(DrawSheetPdf(SheetContent{}).empty());
}

TEST(ParseSheetDate, ReadsDaysThatExist) {
  const SheetDate date = ParseSheetDate("2024-02-29");
  EXPECT_EQ(date.year, 2024);
  EXPECT_EQ(date.month, 2);
  EXPECT_EQ(date.day, 29);
  for (const char* text : {"2026-02-29",
                           "2026-13-01",
                           "2026-00-10",
                           "26-11-25",
                           "2026-11-2",
                           "25.11.2026",
                           "2026-11-25 ",
                           "2026-11--5",
                           "",
                           "2026/11/25"}) {
    EXPECT_THROW(static_cast<void>(ParseSheetDate(text)), OptionError) << text;
  }
}

}  // namespace
}  // namespace ohmglow
