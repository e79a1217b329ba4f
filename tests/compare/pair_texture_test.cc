// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/pair_texture.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "align/stripes.h"

namespace ohmglow {
namespace {

const cv::Size kSize(64, 48);

Mask All(cv::Size size = kSize) { return Mask(size, uchar{255}); }

Image Noise(unsigned seed, cv::Size size = kSize) {
  std::mt19937 random(seed);
  std::normal_distribution<float> normal(0, 1);
  Image out(size);
  for (float& value : out) value = normal(random);
  return out;
}

double Largest(const Image& image) { return cv::norm(image, cv::NORM_INF); }

PlaneMap Shift(double dx, double dy) { return PlaneMap{{1, 0, dx, 0, 1, dy, 0, 0, 1}}; }

TEST(SeenMean, LeavesOutWhatWasNotSeen) {
  Image image(kSize, 2.0F);
  Image weight(kSize, 1.0F);
  image(20, 30) = 1000;
  weight(20, 30) = 0;
  const Image mean = SeenMean(image, weight, 3);
  EXPECT_NEAR(mean(20, 30), 2, 1e-4);
  EXPECT_NEAR(mean(0, 0), 2, 1e-4);  // The rim is no darkness.
}

TEST(Destriped, TakesOutColumnsAndKeepsABoardsEdge) {
  Image board(kSize, 300.0F);
  board(cv::Rect(20, 5, 24, 20)) += 3;  // Fills less than half of each column.
  Image striped = board.clone();
  for (int x = 0; x < kSize.width; ++x) striped.col(x) += (x % 2 == 0 ? 0.2 : -0.2);
  const Image clean = Destriped({striped, All()}).picture_k;
  // Columns at the rim lack half of the neighbours they are told by.
  const cv::Rect inside(10, 0, kSize.width - 20, kSize.height);
  EXPECT_LT(Largest(Image((clean - board)(inside))), 0.02);
}

TEST(MakeTexture, IsTheSameWhateverLevelAndContrast) {
  const Image picture(Noise(1) + 300);
  const Texture a = MakeTexture({picture, All()}, 2);
  const Texture b = MakeTexture({Image(picture * 5 - 900), All()}, 2);
  EXPECT_LT(Largest(Image(a.value - b.value)), 1e-3);
  EXPECT_GT(Largest(a.value), 0.5);
  EXPECT_LT(Largest(a.value), 1);  // A shiny screw is no more than an edge.
}

TEST(MakeTexture, IsNothingWherePlainOrUnseen) {
  EXPECT_EQ(Largest(MakeTexture({Image(kSize, 300.0F), All()}, 2).value), 0);
  EXPECT_EQ(Largest(MakeTexture({Noise(2), Mask(kSize, uchar{0})}, 2).value), 0);
  Image picture(Noise(2) + 300);
  Mask seen = All();
  seen(cv::Rect(10, 10, 8, 8)) = uchar{0};
  const Texture whole = MakeTexture({picture, seen}, 1.5);
  picture(cv::Rect(10, 10, 8, 8)) = std::numeric_limits<float>::quiet_NaN();
  const Texture holed = MakeTexture({picture, seen}, 1.5);
  EXPECT_TRUE(cv::checkRange(holed.value));  // No NaN spreads.
  EXPECT_LT(Largest(Image(whole.value - holed.value)), 1e-4);
  EXPECT_EQ(Largest(Image(holed.value(cv::Rect(10, 10, 8, 8)))), 0);
}

TEST(Shrink, KeepsThePixelConvention) {
  // Of four pixels 0 .. 3 the middle lies at 1.5: it is pixel 0 of the small picture.
  EXPECT_LT(CornerDistance(ShrinkMap(PlaneMap(), 4), PlaneMap(), {16, 12}), 1e-12);
  EXPECT_LT(CornerDistance(ShrinkMap(Shift(8, -4), 4), Shift(2, -1), {16, 12}), 1e-12);
  const PlaneMap turn{{0.8, -0.3, 7, 0.3, 0.8, -2, 1e-4, 2e-4, 1}};
  const PlaneMap small = ShrinkMap(turn, 4);
  const Point large(33.5, 21.5);  // The middle of the small picture's pixel (8, 5).
  const Point mapped = turn.Apply(large);
  EXPECT_LT(cv::norm(small.Apply({8, 5}) - Point((mapped.x - 1.5) / 4, (mapped.y - 1.5) / 4)),
            1e-9);
  EXPECT_LT(CornerDistance(ShrinkMap(small, 0.25), turn, kSize), 1e-9);
}

TEST(Shrink, TakesMeans) {
  Texture texture{Image(kSize, 0.0F), All()};
  texture.value(cv::Rect(4, 8, 4, 4)) = 1;
  const Texture small = Shrink(texture, 4);
  EXPECT_EQ(small.size(), cv::Size(16, 12));
  EXPECT_NEAR(small.value(2, 1), 1, 1e-6);
  EXPECT_NEAR(cv::sum(small.value)[0], 1, 1e-6);
}

TEST(WarpTexture, MovesByWholePixelsExactly) {
  const Texture source{Noise(3), All()};
  const Texture moved = WarpTexture(source, Shift(5, 3), kSize);
  EXPECT_NEAR(moved.value(10, 10), source.value(13, 15), 1e-5);
  EXPECT_EQ(moved.seen(10, 10), 255);
  EXPECT_EQ(moved.seen(10, 60), 0);
  EXPECT_EQ(moved.value(10, 60), 0);
}

TEST(WarpTexture, SeesNothingThroughAMapThatHasNoInverse) {
  const Texture flat = WarpTexture({Noise(3), All()}, {{1, 0, 0, 1, 0, 0, 0, 0, 1}}, kSize);
  EXPECT_EQ(cv::countNonZero(flat.seen), 0);
}

TEST(MatchLocally, FindsGainAndSignOfTheContrast) {
  const Texture a{Noise(4), All()};
  const Texture b{Image(a.value * -0.5), All()};
  const LocalMatch match = MatchLocally(a, b);
  EXPECT_NEAR(match.gain(24, 32), -0.5, 1e-4);
  EXPECT_NEAR(match.squared(24, 32), 1, 1e-4);
  // Of 4 pi 10^2 pixels: a chance match is a few thousandths.
  EXPECT_LT(MatchLocally(a, {Noise(5), All()}).squared(24, 32), 0.03);
}

TEST(MatchLocally, IsZeroWhereOneIsNotSeen) {
  Texture a{Noise(4), All()};
  a.seen(cv::Rect(0, 0, 20, 48)) = uchar{0};
  const LocalMatch match = MatchLocally(a, {Noise(4), All()});
  EXPECT_EQ(match.both(10, 10), 0);
  EXPECT_EQ(match.gain(10, 10), 0);
  EXPECT_NE(match.gain(10, 40), 0);
}

TEST(EdgesOf, ForgetsTheSign) {
  const Texture a{Noise(6), All()};
  const Texture b{Image(-a.value), All()};
  EXPECT_LT(Largest(Image(EdgesOf(a).value - EdgesOf(b).value)), 1e-6);
}

TEST(CornerDistance, IsThatOfTheFarthestCorner) {
  EXPECT_NEAR(CornerDistance(Shift(3, 4), PlaneMap(), kSize), 5, 1e-12);
  const PlaneMap wider{{1.1, 0, 0, 0, 1, 0, 0, 0, 1}};
  EXPECT_NEAR(CornerDistance(wider, PlaneMap(), kSize), 6.3, 1e-9);
}

}  // namespace
}  // namespace ohmglow
