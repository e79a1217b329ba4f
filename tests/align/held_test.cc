// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/held.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::internal {
namespace {

const cv::Size kSize(120, 90);
constexpr int kMarginPx = 8;

// Texture of unit spread, blobs of about 2 px.
Image Blobs(cv::Size size, cv::RNG& random) {
  Image out(size);
  random.fill(out, cv::RNG::NORMAL, 0, 1);
  cv::GaussianBlur(out, out, {}, 2);
  return Image(out * (1 / std::sqrt(cv::mean(out.mul(out))[0])));
}

// A hand's motion of 1 px, of which a share was found; a scene of unit spread and a pattern that
// stays.
std::vector<Snapshot> Film(double share, double pattern_k, double moved_px = 1) {
  cv::RNG random(5);
  const cv::Size larger(kSize.width + 2 * kMarginPx, kSize.height + 2 * kMarginPx);
  const Image scene = Blobs(larger, random);
  const Image pattern = Blobs(kSize, random);
  std::vector<Snapshot> snapshots(24);
  Image noise(kSize);
  for (std::size_t i = 0; i < snapshots.size(); ++i) {
    const Point moved =
        i == 0 ? Point() : Point(random.gaussian(moved_px), random.gaussian(moved_px));
    const cv::Matx23d map(1, 0, moved.x - kMarginPx, 0, 1, moved.y - kMarginPx);
    Image seen;
    cv::warpAffine(scene, seen, map, kSize, cv::INTER_CUBIC);
    random.fill(noise, cv::RNG::NORMAL, 0, 0.3);
    Snapshot& s = snapshots[i];
    s.band_k = Image(seen + pattern_k * pattern + noise);
    MotionVector v;
    v[0] = share * moved.x;
    v[1] = share * moved.y;
    s.frame_from_reference = FromVector(v, kSize);
  }
  return snapshots;
}

TEST(ShareFound, TellsHowMuchOfTheMotionAPatternHolds) {
  for (const double share : {0.05, 0.2, 0.5}) {
    EXPECT_NEAR(ShareFound(Film(share, 4)).value(), share, 0.15 * share + 0.02) << share;
  }
}

TEST(ShareFound, IsOneWhereAllWasFound) {
  EXPECT_GT(ShareFound(Film(1, 0)).value(), 0.9);
  EXPECT_GT(ShareFound(Film(1, 4)).value(), 0.9);
}

// What was found of a camera at rest is noise, and tells nothing.
TEST(ShareFound, IsNotToldWhereNothingMoved) {
  std::vector<Snapshot> snapshots = Film(1, 4, 0);
  cv::RNG random(9);
  for (Snapshot& s : snapshots) {
    MotionVector v;
    v[0] = random.gaussian(0.02);
    s.frame_from_reference = FromVector(v, kSize);
  }
  EXPECT_FALSE(ShareFound(snapshots).has_value());
}

}  // namespace
}  // namespace ohmglow::internal
