// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binning/binning.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <memory>
#include <vector>

#include "base/larger_pixels.h"
#include "binning/binned_frames.h"

namespace ohmglow {
namespace {

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();

Case FilmOf(cv::Size size_px, double mm_per_pixel) {
  Case job;
  job.frames = std::make_shared<MemoryFrames>(std::vector<Image>{Image(size_px, 300.0F)});
  job.mm_per_pixel = mm_per_pixel;
  return job;
}

TEST(ChooseBinning, StaysWithinTheWidthThatHeatIsSharp) {
  EXPECT_EQ(ChooseBinning(FilmOf({640, 480}, 0.5)), 1);
  EXPECT_EQ(ChooseBinning(FilmOf({640, 480}, 0.23)), 1);
  EXPECT_EQ(ChooseBinning(FilmOf({640, 480}, 0.22)), 2);
  EXPECT_EQ(ChooseBinning(FilmOf({640, 480}, 0.1)), 4);
}

TEST(ChooseBinning, LeavesPixelsForRegistration) {
  EXPECT_EQ(ChooseBinning(FilmOf({384, 288}, 0.1)), 3);
  EXPECT_EQ(ChooseBinning(FilmOf({256, 192}, 0.1)), 2);
  EXPECT_EQ(ChooseBinning(FilmOf({160, 120}, 0.1)), 1);
  EXPECT_EQ(ChooseBinning(FilmOf({80, 60}, 0.1)), 1);
}

TEST(ChooseBinning, TakesLargeFramesOfUnknownScaleInTwos) {
  Case large = FilmOf({640, 480}, 0.5);
  Case small = FilmOf({256, 192}, 0.5);
  for (Case* job : {&large, &small}) {
    job->assumed.push_back({"board.mm_per_pixel", "0.5 mm", AssumedHow::kGuess, "a guess"});
  }
  EXPECT_EQ(ChooseBinning(large), 2);
  EXPECT_EQ(ChooseBinning(small), 1);
  large.assumed.front().how = AssumedHow::kDefault;  // From landmarks: known.
  EXPECT_EQ(ChooseBinning(large), 1);
}

TEST(ChooseBinning, ObeysTheCase) {
  Case job = FilmOf({640, 480}, 0.1);
  job.binning = 1;
  EXPECT_EQ(ChooseBinning(job), 1);
  job.binning = 3;
  EXPECT_EQ(ChooseBinning(job), 3);
}

TEST(ChooseBinning, LeavesAloneWhatHasNoScaleOrNoPixels) {
  for (const double mm : {0.0, -1.0, 1e-300, std::nan("")}) {
    EXPECT_LE(ChooseBinning(FilmOf({640, 480}, mm)), 5) << mm;
    EXPECT_GE(ChooseBinning(FilmOf({640, 480}, mm)), 1) << mm;
  }
  EXPECT_EQ(ChooseBinning(Case{}), 1);
}

TEST(Binned, PutsPlacesAndScaleInLargerPixels) {
  Case job = FilmOf({7, 5}, 0.2);
  job.landmarks.push_back({{2.5, 4.5}, {10, 20}, {}});
  job.contacts.push_back({{-0.5, -0.5}, "minus"});
  const Case binned = Binned(job, 3);
  EXPECT_EQ(binned.frames->size_px(), cv::Size(2, 1));
  EXPECT_DOUBLE_EQ(binned.mm_per_pixel, 0.6);
  // Between the first and the second square; the corner of the picture stays its corner.
  EXPECT_NEAR(cv::norm(binned.landmarks[0].frame_px - Point(0.5, 1.1667)), 0, 1e-3);
  EXPECT_EQ(binned.landmarks[0].photo_px, Point(10, 20));
  EXPECT_EQ(binned.contacts[0].frame_px, Point(-0.5, -0.5));
  const Point place(4.3, 2.9);
  EXPECT_NEAR(cv::norm(FromBinned(ToBinned(place, 3), 3) - place), 0, 1e-12);
}

TEST(BinnedFrames, AreMeansOfSquares) {
  Image frame(5, 5, 0.0F);
  for (int y = 0; y < 5; ++y) {
    for (int x = 0; x < 5; ++x) frame(y, x) = static_cast<float>(290 + 10 * y + x);
  }
  frame(3, 0) = kNan;
  frame(4, 4) = 1e6F;  // In no whole square.
  BinnedFrames binned(std::make_shared<MemoryFrames>(std::vector<Image>{frame}), 2);
  Image out;
  binned.Read(0, out);
  ASSERT_EQ(out.size(), cv::Size(2, 2));
  EXPECT_FLOAT_EQ(out(0, 0), 290 + 5.5F);
  EXPECT_FLOAT_EQ(out(0, 1), 292 + 5.5F);
  EXPECT_TRUE(std::isnan(out(1, 0)));
  EXPECT_FLOAT_EQ(out(1, 1), 312 + 5.5F);
}

}  // namespace
}  // namespace ohmglow
