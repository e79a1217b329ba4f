// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binning/unbin.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <utility>
#include <vector>

#include "base/larger_pixels.h"
#include "binning/binning.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr int kBinning = 3;
const cv::Size kFramePx(32, 25);  // Two columns and one row in no whole square.
const cv::Size kBinnedPx(10, 8);

Case Whole() {
  Case job;
  job.frames = std::make_shared<MemoryFrames>(std::vector<Image>{Image(kFramePx, 300.0F)});
  job.mm_per_pixel = 0.1;
  return job;
}

LocateResult InLargerPixels() {
  LocateResult result;
  result.frame_size_px = kBinnedPx;
  result.mm_per_pixel = 0.3;
  return result;
}

TEST(Unbin, PutsPlacesInPixelsOfTheFrames) {
  LocateResult result = InLargerPixels();
  Candidate place;
  place.frame_px = {4, 0};
  place.sigma_px = 0.2;
  place.peak_px = Point(4, 1);
  result.candidates.push_back(place);
  Unbin(Whole(), kBinning, result);
  EXPECT_EQ(result.candidates[0].frame_px, Point(13, 1));
  EXPECT_EQ(result.candidates[0].Peak(), Point(13, 4));
  EXPECT_DOUBLE_EQ(result.candidates[0].sigma_px, 0.6);
  EXPECT_EQ(result.frame_size_px, kFramePx);
  EXPECT_DOUBLE_EQ(result.mm_per_pixel, 0.1);
  EXPECT_EQ(result.binning, kBinning);
  ASSERT_EQ(result.assumed.size(), 1U);
  EXPECT_EQ(result.assumed[0].key, "frames.shrink");
}

// The same place of the board is met either way.
TEST(Unbin, PutsMotionInPixelsOfTheFrames) {
  LocateResult result = InLargerPixels();
  FrameState similar;
  similar.frame_from_reference = {1.5, -0.7, 4, 1.1};
  FrameState projective = similar;
  projective.projective_from_reference =
      PlaneMap{cv::Matx33d(1.02, 0.03, 1.2, -0.02, 0.99, -0.4, 1e-3, -2e-3, 1)};
  result.alignment.frames = {similar, projective};
  result.alignment.frames[0].residual_px = 0.1;
  Unbin(Whole(), kBinning, result);
  for (std::size_t i = 0; i < 2; ++i) {
    const FrameState& before = i == 0 ? similar : projective;
    for (const Point place : {Point(3, 4), Point(30, 0), Point(11, 24)}) {
      const Point expected =
          FromBinned(MapOf(before, kBinnedPx).Apply(ToBinned(place, kBinning)), kBinning);
      const Point met = MapOf(result.alignment.frames[i], kFramePx).Apply(place);
      EXPECT_NEAR(cv::norm(met - expected), 0, 1e-9) << place;
    }
  }
  EXPECT_DOUBLE_EQ(result.alignment.frames[0].residual_px, 0.3);
}

TEST(Unbin, PutsMapsToPhotoAndBoardInPixelsOfTheFrames) {
  std::vector<Landmark> landmarks;
  for (const Point at : {Point(1, 1), Point(8, 1), Point(8, 6), Point(1, 7), Point(4, 3)}) {
    // A landmark that is off by a little makes the errors known.
    const double off = at.x == 4 ? 0.05 : 0;
    landmarks.push_back({at, at * 20 + Point(3, 5), Point(0.3 * at.x + off, 0.3 * at.y)});
  }
  LocateResult result = InLargerPixels();
  result.maps = FitBoardMaps(landmarks);
  const BoardMaps before = result.maps;
  Unbin(Whole(), kBinning, result);
  for (const Point place : {Point(5, 9), Point(20, 14)}) {
    const Point binned = ToBinned(place, kBinning);
    EXPECT_NEAR(cv::norm(result.maps.PhotoPlace(place) - before.PhotoPlace(binned)), 0, 1e-6);
    EXPECT_NEAR(cv::norm(result.maps.board_from_frame->Apply(place) -
                         before.board_from_frame->Apply(binned)),
                0,
                1e-9);
    ASSERT_GT(before.board_error.Rms(binned), 0);
    EXPECT_NEAR(result.maps.board_error.Rms(place), before.board_error.Rms(binned), 1e-9);
  }
}

TEST(Unbin, SpreadsMapsOverTheFrame) {
  LocateResult result = InLargerPixels();
  result.response_k = Image(kBinnedPx, 0.0F);
  for (int x = 0; x < kBinnedPx.width; ++x) result.response_k.col(x) = static_cast<float>(x);
  Unbin(Whole(), kBinning, result);
  ASSERT_EQ(result.response_k.size(), kFramePx);
  EXPECT_NEAR(result.response_k(12, 13), 4, 1e-5);  // The middle of a square.
  EXPECT_NEAR(result.response_k(12, 14), 4 + 1.0 / 3, 1e-5);
  EXPECT_NEAR(result.response_k(24, 31), 9, 1e-5);  // Outside: as the last square.
}

TEST(Unbin, LeavesSquaresWithAValueWholeBesideThoseWithout) {
  Image map(cv::Size(3, 1), 5.0F);
  map(0, 1) = std::nanf("");
  const Image out = Unbin(map, 3, {9, 3});
  for (int x = 0; x < 9; ++x) EXPECT_EQ(std::isnan(out(1, x)), x / 3 == 1) << x;
}

TEST(Unbin, TellsAScaleThatNobodyGaveInPixelsOfTheFrames) {
  LocateResult result = InLargerPixels();
  result.assumed.push_back(
      {"board.mm_per_pixel", "0.3 mm", AssumedHow::kDefault, "from board.parts"});
  result.maps.board_from_frame = PlaneMap{};
  result.maps.board_trust = 0.99;
  Unbin(Whole(), kBinning, result);
  EXPECT_EQ(result.assumed[0].value, "0.1 mm");
}

TEST(Unbin, SaysPixelsOfTheFramesInRemarks) {
  LocateResult result = InLargerPixels();
  result.advice.push_back(Remark(RemarkKind::kFrameMayBeOff).With("error_px", 0.2));
  result.advice.push_back(
      Remark(RemarkKind::kPhotoLaid).With("percent", 95).With("error_px", 7));  // Of the photo.
  Remark at = Remark(RemarkKind::kAtPixel).With("x_px", 4).With("y_px", 0);
  result.advice.push_back(Remark(RemarkKind::kLookAtPartNext).With("where", std::move(at)));
  Unbin(Whole(), kBinning, result);
  EXPECT_NEAR(result.advice[0].Number("error_px"), 0.6, 1e-12);
  EXPECT_EQ(result.advice[1].Number("error_px"), 7);
  const Remark& said = result.advice[2].values[0].said[0];
  EXPECT_EQ(said.Number("x_px"), 13);
  EXPECT_EQ(said.Number("y_px"), 1);
}

TEST(Unbin, CountsOneFaultASquare) {
  LocateResult result = InLargerPixels();
  cv::Mat_<unsigned char>& faults = result.alignment.screening.pixel_faults;
  faults = cv::Mat_<unsigned char>(kBinnedPx, static_cast<unsigned char>(0));
  faults(2, 5) = static_cast<unsigned char>(PixelFault::kDead);
  Unbin(Whole(), kBinning, result);
  EXPECT_EQ(result.alignment.screening.CountPixels(PixelFault::kDead), 1);
  EXPECT_EQ(faults(7, 16), static_cast<unsigned char>(PixelFault::kDead));
}

}  // namespace
}  // namespace ohmglow
