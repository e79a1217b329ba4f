// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/compare/pair_alignment.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

const cv::Size kSize(120, 90);
constexpr double kNoiseK = 0.03;

// A board in BEFORE's pixels: parts of other emissivity with edges of a pixel.
class Board {
 public:
  explicit Board(unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int i = 0; i < 90; ++i) {
      parts_.push_back({-50 + 220 * unit(random),
                        -50 + 190 * unit(random),
                        2 + 7 * unit(random),
                        2 + 5 * unit(random),
                        unit(random) < 0.5 ? -0.8 : 0.8});
    }
  }
  [[nodiscard]] double At(Point p) const {
    double sum = 300;
    for (const Part& part : parts_) {
      const double inside = std::max(std::abs(p.x - part.x) - part.half_width,
                                     std::abs(p.y - part.y) - part.half_height);
      if (inside < 5) sum += part.contrast_k * 0.5 * (1 - std::tanh(inside));
    }
    return sum;
  }

 private:
  struct Part {
    double x, y, half_width, half_height, contrast_k;
  };
  std::vector<Part> parts_;
};

StaticView Picture(const Board& board,
                   const PlaneMap& board_from_picture,
                   unsigned seed,
                   double noise_k = kNoiseK,
                   cv::Size size = kSize) {
  std::mt19937 random(seed);
  std::normal_distribution<double> noise(0, noise_k);
  StaticView view{Image(size), Mask(size, uchar{255})};
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      view.picture_k(y, x) =
          static_cast<float>(board.At(board_from_picture.Apply(Point(x, y))) + noise(random));
    }
  }
  return view;
}

// AFTER's camera: turned, farther away, a little tilted.
PlaneMap Truth(double rotation_deg = 20, double scale = 0.8) {
  const double c = scale * std::cos(rotation_deg * CV_PI / 180);
  const double s = scale * std::sin(rotation_deg * CV_PI / 180);
  const cv::Matx33d to_middle(1, 0, -59.5, 0, 1, -44.5, 0, 0, 1);
  const cv::Matx33d turn(c, -s, 3, s, c, -2, 4e-4, -3e-4, 1);
  return PlaneMap{to_middle.inv() * turn * to_middle};
}

PlaneMap Moved(const PlaneMap& map, double dx, double dy) {
  return PlaneMap{cv::Matx33d(1, 0, dx, 0, 1, dy, 0, 0, 1) * map.matrix};
}

// Over the part of BEFORE that AFTER shows, pixels of BEFORE.
double RmsError(const PlaneMap& map, const PlaneMap& truth) {
  double sum = 0;
  int count = 0;
  for (int y = 2; y < kSize.height; y += 4) {
    for (int x = 2; x < kSize.width; x += 4) {
      const Point at = truth.Apply(Point(x, y));
      if (!cv::Rect2d(0, 0, kSize.width - 1, kSize.height - 1).contains(at)) continue;
      const Point back = map.Inverse().Apply(at);
      sum += (back - Point(x, y)).ddot(back - Point(x, y));
      ++count;
    }
  }
  return std::sqrt(sum / std::max(count, 1));
}

// A search no wider than the test needs, for time.
PairAlignOptions Narrow() {
  PairAlignOptions options;
  options.max_rotation_deg = 21;
  options.max_scale = 1.26;
  return options;
}

// What the noise alone would allow (Cramer-Rao) is below 0.01 px; the rest is
// interpolation and the filters' rims, for which a tenth of a pixel is left.
constexpr double kSharpPx = 0.1;

TEST(AlignPair, FindsATurnedFartherTiltedView) {
  const Board board(1);
  const PlaneMap truth = Truth();
  const PairAlignment found =
      AlignPair(Picture(board, {}, 2), Picture(board, truth.Inverse(), 3), std::nullopt, Narrow());
  const double error_px = RmsError(found.after_from_before, truth);
  EXPECT_LT(error_px, kSharpPx);
  EXPECT_LT(error_px, 3 * found.residual_px);
  EXPECT_LT(found.residual_px, 0.3);
  EXPECT_NEAR(found.rotation_deg, 20, 0.3);
  EXPECT_NEAR(found.scale, 0.8, 0.01);
  EXPECT_GT(found.overlap, 0.95);
  EXPECT_GT(found.agreement, 0.8);
  EXPECT_GE(found.trust, 0.95);
  EXPECT_FALSE(found.from_points);
}

// A board colder than the room: shiny places are warm now.
TEST(AlignPair, FindsAViewOfReversedContrast) {
  const Board board(1);
  const PlaneMap truth = Truth(-12, 1.1);
  StaticView after = Picture(board, truth.Inverse(), 3);
  after.picture_k = 600 - after.picture_k;
  const PairAlignment found = AlignPair(Picture(board, {}, 2), after, std::nullopt, Narrow());
  EXPECT_LT(RmsError(found.after_from_before, truth), kSharpPx);
}

TEST(AlignPair, RefusesAnotherBoard) {
  const StaticView before = Picture(Board(1), {}, 2);
  const StaticView other = Picture(Board(9), Truth().Inverse(), 3);
  try {
    static_cast<void>(AlignPair(before, other, std::nullopt, Narrow()));
    FAIL() << "two boards were laid on each other";
  } catch (const DataError& error) {
    const std::string text = error.what();
    EXPECT_NE(text.find("cannot be laid on each other"), std::string::npos) << text;
    EXPECT_NE(text.find("landmarks"), std::string::npos) << text;
    EXPECT_NE(text.find("less than 21 degrees"), std::string::npos) << text;
  }
}

StaticView Plain(cv::Size size = kSize) { return {Image(size, 300.0F), Mask(size, uchar{255})}; }

TEST(AlignPair, RefusesWhatShowsNothing) {
  PairAlignOptions options = Narrow();
  options.max_rotation_deg = 3;
  const StaticView board = Picture(Board(1), {}, 2);
  const auto refused = [&](const StaticView& before, const StaticView& after) {
    EXPECT_THROW(static_cast<void>(AlignPair(before, after, std::nullopt, options)), DataError);
  };
  refused(Plain(), Plain());
  refused(board, Plain());
  refused(Plain({16, 16}), Plain({16, 16}));
  StaticView unseen = board;
  unseen.seen = Mask(kSize, uchar{0});
  refused(board, unseen);
  refused(unseen, board);
  refused(board, {});
  refused({board.picture_k, Mask(10, 10, uchar{255})}, board);
}

// Noise without a picture, with the same seed nowhere.
TEST(AlignPair, RefusesNoise) {
  PairAlignOptions options = Narrow();
  options.max_rotation_deg = 6;
  StaticView first = Plain();
  StaticView second = Plain();
  cv::RNG random(4);
  random.fill(first.picture_k, cv::RNG::NORMAL, 300, 0.1);
  random.fill(second.picture_k, cv::RNG::NORMAL, 300, 0.1);
  EXPECT_THROW(static_cast<void>(AlignPair(first, second, std::nullopt, options)), DataError);
}

TEST(AlignPair, MakesBoardPointsSharper) {
  const Board board(1);
  const PlaneMap truth = Truth();
  const PairStart start{Moved(truth, 1.2, -0.9), 1.0};
  const PairAlignment found = AlignPair(
      Picture(board, {}, 2), Picture(board, truth.Inverse(), 3), start, PairAlignOptions());
  EXPECT_TRUE(found.from_points);
  EXPECT_LT(RmsError(found.after_from_before, truth), kSharpPx);
  EXPECT_LT(found.residual_px, 0.3);
}

// Ten times the noise: the error grows, and the stated one with it.
TEST(AlignPair, StatesItsErrorUnderNoise) {
  const Board board(1);
  const PlaneMap truth = Truth();
  const PairStart start{Moved(truth, 0.6, -0.5), 1.0};
  double sum_squared = 0;
  double stated_squared = 0;
  constexpr int kRuns = 4;
  for (unsigned i = 0; i < kRuns; ++i) {
    const PairAlignment found = AlignPair(Picture(board, {}, 10 + i, 0.3),
                                          Picture(board, truth.Inverse(), 20 + i, 0.3),
                                          start,
                                          PairAlignOptions());
    sum_squared += std::pow(RmsError(found.after_from_before, truth), 2) / kRuns;
    stated_squared += std::pow(found.residual_px, 2) / kRuns;
  }
  EXPECT_LT(std::sqrt(sum_squared), 2 * std::sqrt(stated_squared));
  EXPECT_LT(std::sqrt(sum_squared), 0.3);
}

// A part that was replaced by a larger, brighter one, and a hand's warmth.
TEST(AlignPair, IsNotPulledByWhatWasChanged) {
  const Board board(1);
  const PlaneMap truth = Truth();
  const PairStart start{Moved(truth, 0.8, 0.6), 1.0};
  StaticView after = Picture(board, truth.Inverse(), 3);
  after.picture_k(cv::Rect(55, 40, 17, 12)) = 304;
  for (int y = 0; y < kSize.height; ++y) {
    for (int x = 0; x < kSize.width; ++x) {
      after.picture_k(y, x) += static_cast<float>(3 * std::exp(-std::hypot(x - 20, y - 70) / 25));
    }
  }
  const PairAlignment found = AlignPair(Picture(board, {}, 2), after, start, PairAlignOptions());
  EXPECT_LT(RmsError(found.after_from_before, truth), 1.5 * kSharpPx);
}

TEST(AlignPair, KeepsThePointsWhereThereIsNoTexture) {
  const PlaneMap truth = Truth();
  const PairAlignment found =
      AlignPair(Plain(), Plain(), PairStart{truth, 0.7}, PairAlignOptions());
  EXPECT_TRUE(found.from_points);
  EXPECT_LT(RmsError(found.after_from_before, truth), 0.01);
  EXPECT_GE(found.residual_px, 0.69);  // No better than the points themselves.
}

TEST(AlignPair, CountsNoPixelWithoutAValue) {
  const Board board(1);
  const PlaneMap truth = Truth();
  StaticView after = Picture(board, truth.Inverse(), 3);
  after.picture_k(cv::Rect(30, 30, 5, 4)) = std::numeric_limits<float>::quiet_NaN();
  after.picture_k(cv::Rect(70, 30, 5, 4)) = std::numeric_limits<float>::infinity();
  const PairAlignment found = AlignPair(
      Picture(board, {}, 2), after, PairStart{Moved(truth, 0.5, 0.5), 1.0}, PairAlignOptions());
  EXPECT_LT(RmsError(found.after_from_before, truth), kSharpPx);
  EXPECT_LT(found.overlap, 1);
}

TEST(AlignPair, FindsAPictureOnItself) {
  const StaticView view = Picture(Board(1), {}, 2);
  const PairAlignment found =
      AlignPair(view, view, PairStart{Moved({}, 0.4, 0.2), 0.5}, PairAlignOptions());
  EXPECT_LT(RmsError(found.after_from_before, {}), 0.03);  // Started 0.45 px beside.
  EXPECT_NEAR(found.overlap, 1, 0.03);
}

TEST(PairAlignOptions, RefusesWhatMakesNoSense) {
  const auto message = [](auto set) -> std::string {
    PairAlignOptions options;
    set(options);
    try {
      options.Validate();
    } catch (const OptionError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_EQ(message([](PairAlignOptions&) {}), "");
  EXPECT_NE(message([](auto& o) { o.max_rotation_deg = 200; }).find("max_rotation_deg"),
            std::string::npos);
  EXPECT_NE(message([](auto& o) { o.max_scale = 1; }).find("max_scale"), std::string::npos);
  EXPECT_NE(message([](auto& o) { o.expected_scale = 0; }).find("expected_scale"),
            std::string::npos);
  EXPECT_NE(message([](auto& o) { o.least_trust = std::nan(""); }).find("least_trust"),
            std::string::npos);
}

}  // namespace
}  // namespace ohmglow
