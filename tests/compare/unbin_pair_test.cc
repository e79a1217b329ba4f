// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/unbin_pair.h"

#include <gtest/gtest.h>

#include <memory>
#include <vector>

#include "base/larger_pixels.h"

namespace ohmglow {
namespace {

Case FilmOf(cv::Size size_px) {
  Case job;
  job.frames = std::make_shared<MemoryFrames>(std::vector<Image>{Image(size_px, 300.0F)});
  return job;
}

// BEFORE was worked on in squares of 2 x 2, AFTER in those of 3 x 3.
TEST(UnbinPair, PutsEachCaptureInPixelsOfItsOwnFrames) {
  const Case before = FilmOf({41, 30});
  const Case after = FilmOf({61, 46});
  CompareResult out;
  out.before.frame_size_px = {20, 15};
  out.after.frame_size_px = {20, 15};
  out.alignment.after_from_before = {cv::Matx33d(0, -1, 14, 1, 0, 2, 0, 0, 1)};
  out.alignment.residual_px = 0.1;
  out.alignment.scale = 1;
  ComparedPlace place;
  place.before_px = {7, 4};
  place.after_px = out.alignment.after_from_before.Apply(place.before_px);
  out.places.push_back(place);
  out.before_k = Image(cv::Size(20, 15), 1.0F);
  out.after_k = Image(cv::Size(20, 15), 2.0F);

  UnbinPair(before, after, {2, 3}, out);

  EXPECT_EQ(out.before.frame_size_px, cv::Size(41, 30));
  EXPECT_EQ(out.after.frame_size_px, cv::Size(61, 46));
  EXPECT_EQ(out.places[0].before_px, FromBinned({7, 4}, 2));
  EXPECT_EQ(out.places[0].after_px, FromBinned(place.after_px, 3));
  EXPECT_NEAR(cv::norm(out.alignment.after_from_before.Apply(out.places[0].before_px) -
                       out.places[0].after_px),
              0,
              1e-9);
  EXPECT_DOUBLE_EQ(out.alignment.residual_px, 0.2);
  EXPECT_DOUBLE_EQ(out.alignment.scale, 1.5);
  EXPECT_EQ(out.before_k.size(), cv::Size(41, 30));
  EXPECT_EQ(out.after_k.size(), cv::Size(41, 30));
  EXPECT_FLOAT_EQ(out.after_k(29, 40), 2);
}

TEST(UnbinPair, LeavesSinglePixelsAlone) {
  CompareResult out;
  out.places.emplace_back();
  out.places[0].before_px = {7, 4};
  UnbinPair(FilmOf({20, 15}), FilmOf({20, 15}), {1, 1}, out);
  EXPECT_EQ(out.places[0].before_px, Point(7, 4));
  EXPECT_TRUE(out.before.assumed.empty());
}

}  // namespace
}  // namespace ohmglow
