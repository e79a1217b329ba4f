// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/response.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "heat/shared_courses.h"
#include "heat/source_kinds.h"
#include "rank/peaks.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Blob;
using testing::Steps;

const cv::Size kSize(72, 54);
const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
constexpr double kNoiseK = 0.05;
constexpr double kRateS = 0.125;

Stack NoisyStack(unsigned seed) {
  Stack stack = testing::StillStack(kSize, 64, 5, kRateS);  // 40 s
  std::mt19937 random(seed);
  testing::AddNoise(random, kNoiseK, stack);
  return stack;
}

Response Fit(const Stack& stack,
             const SourceCourses& sources,
             const HeatOptions& options,
             double view_mm = 0) {
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Drive drive(testing::StepLog(kSteps, 40), 0);
  Eigen::MatrixXf courses = PixelCourses(stack, model);
  RemoveCommonOffset(courses, model, drive, stack.seen);
  return FitResponse(courses, stack, drive, sources, options, model, view_mm);
}

Response Fit(const Stack& stack) { return Fit(stack, MakeSourceCourses(Plate{}), {}); }

TEST(FitResponse, PeaksWhereHeatFollowsTheDrive) {
  Stack stack = NoisyStack(1);
  testing::AddHeat(Image(0.5 * Blob(kSize, {41, 19}, 1.5)), kSteps, 1.5, 2, stack);
  const Response response = Fit(stack);
  cv::Point at;
  double z = 0;
  cv::minMaxLoc(response.detector.z(), nullptr, &z, nullptr, &at);
  EXPECT_LE(cv::norm(at - cv::Point(41, 19)), 1.0);
  EXPECT_GT(z, 20);
  cv::minMaxLoc(response.detector.steps_k(), nullptr, nullptr, nullptr, &at);
  EXPECT_LE(cv::norm(at - cv::Point(41, 19)), 1.0);
}

TEST(FitResponse, MeasuresTheNoiseOfOneFrame) {
  Stack stack = NoisyStack(2);
  EXPECT_NEAR(Fit(stack).noise_median_k, kNoiseK, 0.05 * kNoiseK);
  // Heat is no noise.
  testing::AddHeat(Image(3 * Blob(kSize, {30, 30}, 8)), kSteps, 1.5, 2, stack);
  EXPECT_NEAR(Fit(stack).noise_median_k, kNoiseK, 0.05 * kNoiseK);
}

// One kind of source at two exponents and three spot sizes: z is the largest
// of six standard normals that are alike to some degree. A small picture has
// few independent places to learn the background from, and errs to the safe side.
TEST(FitResponse, GivesWhiteNoiseUnitSpread) {
  SourceCourses one = MakeSourceCourses(Plate{});
  one.mixture = one.mixture.col(4).eval();
  HeatOptions placed;
  placed.misplaced_px = 0;
  int above_2 = 0;
  int above_3 = 0;
  int total = 0;
  for (unsigned seed = 10; seed < 22; ++seed) {
    const Response response = Fit(NoisyStack(seed), one, placed);
    above_2 += cv::countNonZero(response.detector.z() > 2);
    above_3 += cv::countNonZero(response.detector.z() > 3);
    total += kSize.area();
  }
  const double tail_2 = 0.02275;  // Of the normal distribution.
  const double tail_3 = 0.00135;
  EXPECT_GT(above_2, 0.3 * tail_2 * total);
  EXPECT_LT(above_2, 6 * tail_2 * total);
  EXPECT_GT(above_3, 0.3 * tail_3 * total);
  EXPECT_LT(above_3, 6 * tail_3 * total);
}

// The threshold of Worsley et al. 1996 at 5 % a capture, as ranking uses it
// (four maps, the finer detector's 3.33 px): 40 captures of noise expect two.
TEST(FitResponse, SeldomExceedsTheThresholdOfNoise) {
  const double threshold = NoiseThreshold(kSize.area(), 3.33, 4, 0.05);
  int alarms = 0;
  for (unsigned seed = 100; seed < 140; ++seed) {
    double z = 0;
    cv::minMaxLoc(Fit(NoisyStack(seed)).detector.z(), nullptr, &z);
    if (z > threshold) ++alarms;
    EXPECT_GT(z, threshold - 2.5);  // The map is no flat zero.
  }
  EXPECT_LE(alarms, 6);  // Binomial: more than six of 40 at 5 % has 1 %.
}

// Rise at the end of the highest current; a blob so wide that the map's light
// smoothing takes 3 % off.
TEST(FitResponse, MeasuresTheRiseOfAStrongSource) {
  for (const double lag_s : {0.5, 1.5, 4.0}) {
    Stack stack = NoisyStack(3);
    testing::AddHeat(Image(2 * Blob(kSize, {36, 27}, 4.5)), kSteps, lag_s, 2, stack);
    const double truth = 2 * testing::LagOfSteps(kSteps, 28, lag_s, 2);
    const Response response = Fit(stack);
    EXPECT_NEAR(response.rise_k(27, 36), truth, 0.15 * truth) << lag_s;
    EXPECT_NEAR(response.rise_k(5, 5), 0, 6 * response.noise_rise_k) << lag_s;
  }
}

TEST(FitResponse, DoesNotHeedOffsetsOfPixels) {
  Stack stack = NoisyStack(4);
  testing::AddHeat(Image(0.3 * Blob(kSize, {20, 40}, 1.5)), kSteps, 1.5, 2, stack);
  HeatOptions placed;
  placed.misplaced_px = 0;  // Else a static picture raises the noise at its edges.
  const SourceCourses sources = MakeSourceCourses(Plate{});
  const Image plain = Fit(stack, sources, placed).detector.z();
  const Image offset(3 * Blob(kSize, {50, 10}, 6));
  for (Image& bin : stack.bins_k) bin += offset;
  // The picture's detail and slopes take their share of all courses, here of a small picture's.
  const Image shifted = Fit(stack, sources, placed).detector.z();
  double highest = 0;
  cv::minMaxLoc(plain, nullptr, &highest);
  EXPECT_LT(cv::norm(plain, shifted, cv::NORM_INF), 0.15 * highest);
  EXPECT_GT(highest, 15);
}

// Every pixel drifts by itself, by ten times the noise that is left in a fit:
// the map's spread must stay what it is in white noise, and a source that the
// same drift hid from a fit in white noise is paid for by its steps alone.
TEST(FitResponse, LearnsHowMuchPixelsDrift) {
  std::mt19937 random(31);
  std::normal_distribution<float> normal(0, 0.03F);
  Stack stack = NoisyStack(30);
  Image slope(kSize);
  for (float& value : slope) value = normal(random);
  const double end_s = stack.time_s.back();
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    stack.bins_k[b] += stack.time_s[b] / end_s * slope;
  }
  const Response drifting = Fit(stack);
  cv::Scalar mean;
  cv::Scalar spread;
  cv::meanStdDev(drifting.detector.z(), mean, spread);
  EXPECT_LT(spread[0], 1.2);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(drifting.detector.covariance());
  EXPECT_GT(eigen.eigenvalues().maxCoeff(), 5);
  testing::AddHeat(Image(0.5 * Blob(kSize, {41, 19}, 1.5)), kSteps, 1.5, 2, stack);
  const Response warm = Fit(stack);
  EXPECT_GT(warm.detector.z()(19, 41), 10);
}

// In a quiet picture the slow part of a staircase counts: the same source has
// a larger ratio than its steps alone could give it.
TEST(FitResponse, CountsWhatIsSlowWhereNothingDrifts) {
  Stack stack = NoisyStack(32);
  testing::AddHeat(Image(0.1 * Blob(kSize, {41, 19}, 1.5)), kSteps, 1.5, 2, stack);
  const Response response = Fit(stack);
  EXPECT_GT(response.detector.z()(19, 41), 1.5 * response.detector.z_steps()(19, 41));
}

// A place that drifts as a dozen others do is no source, however far it stands
// out of the noise.
TEST(Detector, SetsAPlaceAsideThatIsOneOfMany) {
  Stack stack = NoisyStack(33);
  std::vector<cv::Point> joints;
  for (int y = 8; y < kSize.height; y += 18) {
    for (int x = 8; x < kSize.width; x += 18) joints.emplace_back(x, y);
  }
  const double end_s = stack.time_s.back();
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    for (const cv::Point joint : joints) {
      stack.bins_k[b] += 0.12 * stack.time_s[b] / end_s * Blob(kSize, joint, 1.2);
    }
  }
  Stack alone = NoisyStack(33);
  for (std::size_t b = 0; b < alone.bins_k.size(); ++b) {
    alone.bins_k[b] += 0.12 * alone.time_s[b] / end_s * Blob(kSize, joints[5], 1.2);
  }
  const Response many = Fit(stack);
  EXPECT_GT(Fit(alone).detector.StandsOut(joints[5]), 5);
  EXPECT_LT(many.detector.StandsOut(joints[5]), 5);
}

// Around strong heat the surroundings' mean leaves a hollow that cools with the
// steps. It is the strong heat's own and speaks against nobody else.
TEST(Detector, BlamesNobodyForTheHollowAroundStrongHeat) {
  const cv::Size size(120, 60);
  const cv::Point faint(88, 30);
  const auto standing = [&](double strong_k) {
    Stack stack = testing::StillStack(size, 64, 5, kRateS);
    std::mt19937 random(34);
    testing::AddNoise(random, kNoiseK, stack);
    const Image near(strong_k * Blob(size, {28, 30}, 2.5));
    const Image halo(strong_k * 0.3 * Blob(size, {28, 30}, 9));
    testing::AddHeat(near, kSteps, 1, 2, stack);
    testing::AddHeat(halo, kSteps, 8, 2, stack);
    testing::AddHeat(Image(0.4 * Blob(size, faint, 1.5)), kSteps, 1.5, 2, stack);
    return Fit(stack).detector.StandsOut(faint);
  };
  EXPECT_GT(standing(1), 0.5 * standing(0));
}

TEST(FitResponse, CountsAMisplacedEdgeAsNoise) {
  Stack stack = NoisyStack(5);
  testing::AddHeat(Image(0.3 * Blob(kSize, {20, 27}, 1.5)), kSteps, 1.5, 2, stack);
  testing::AddHeat(Image(0.3 * Blob(kSize, {52, 27}, 1.5)), kSteps, 1.5, 2, stack);
  for (Image& bin : stack.bins_k) bin.colRange(52, kSize.width) += 8;  // An edge at one of them.
  const Response response = Fit(stack);
  EXPECT_LT(response.detector.z()(27, 52), 0.5 * response.detector.z()(27, 20));
}

// A shutter that shifts every frame by its own amount: the same for all pixels,
// and larger than the heat.
TEST(RemoveCommonOffset, TakesOutWhatAllPixelsShare) {
  Stack stack = NoisyStack(6);
  testing::AddHeat(Image(0.5 * Blob(kSize, {41, 19}, 1.5)), kSteps, 1.5, 2, stack);
  const Response quiet = Fit(stack);
  std::mt19937 random(7);
  std::normal_distribution<double> jump(0, 0.5);
  for (Image& bin : stack.bins_k) bin += jump(random);
  const Response shaken = Fit(stack);
  EXPECT_LT(cv::norm(quiet.detector.z(), shaken.detector.z(), cv::NORM_INF), 0.3);
  EXPECT_NEAR(shaken.noise_median_k, quiet.noise_median_k, 0.01 * kNoiseK);
}

// Half an hour in bins of 28 s: all kinds follow the steps nearly alike, and what
// tells them from a board that warms as a whole is the little that is left.
TEST(SelectKinds, TellsKindsApartInALongCapture) {
  const Stack stack = testing::StillStack({8, 8}, 64, 1, 28);
  const TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Drive drive(testing::StepLog({{120, 1.0}, {420, 2.0}, {1500, 0.0}}, 1790, 1), 0);
  const SourceCourses sources = MakeSourceCourses(Plate{});
  const std::vector<SourceKind> kinds = SelectKinds(sources, model, drive, 2);
  Eigen::MatrixXd lags(model.num_bins(), sources.lags_s.size());
  for (Eigen::Index i = 0; i < lags.cols(); ++i) {
    lags.col(i) = model.ProjectedLag(drive, sources.lags_s(i), 2);
  }
  const Eigen::MatrixXd all = (lags * sources.mixture).colwise().normalized();
  Eigen::VectorXd likeness = Eigen::VectorXd::Constant(all.cols(), -1);
  for (const SourceKind& kind : kinds) likeness = likeness.cwiseMax(all.transpose() * kind.shape);
  EXPECT_GT(likeness.minCoeff(), 0.997);
}

// A halo half as wide as the picture looks like a surface; fitted beside it, it stays.
TEST(RemoveShared, LeavesAHaloThatIsFittedBesideTheSurface) {
  const cv::Size size(96, 72);
  const cv::Point at(60, 30);
  const Image halo = Blob(size, at, 18);
  Image tilted(size);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) tilted(y, x) = 0.02F * static_cast<float>(x);
  }
  std::mt19937 random(8);
  std::normal_distribution<float> normal(0, 0.02F);
  for (float& value : tilted) value += normal(random);
  const auto left = [&](const std::vector<Image>& halos) {
    std::vector<Image> modes = {Image(halo + tilted)};
    const Mask seen(size, static_cast<unsigned char>(255));
    RemoveShared(Image(size, 0.0F), seen, halos, modes);
    return modes.front();
  };
  const Image beside = left({Blob(size, at, 6), Blob(size, at, 18)});
  const auto rise = [&](const Image& mode) {  // Over 40 px.
    return cv::mean(mode(cv::Rect(59, 29, 3, 3)))[0] - cv::mean(mode(cv::Rect(19, 29, 3, 3)))[0];
  };
  EXPECT_NEAR(rise(beside), rise(halo), 0.1 * rise(halo));
  EXPECT_LT(rise(left({})), 0.8 * rise(halo));
}

// A source in heat that is as wide as the picture. What the quiet quarter shows of it is lost
// either way.
TEST(FitResponse, KeepsHeatThatFillsANarrowView) {
  Stack stack = NoisyStack(8);
  const cv::Point at(36, 27);
  const Image heat(4 * Blob(kSize, at, 1.5) + 0.65 * Blob(kSize, at, 14));
  testing::AddHeat(heat, kSteps, 1.5, 2, stack);
  const auto halo_k = [&](double view_mm) {
    const Response response = Fit(stack, MakeSourceCourses(Plate{}), {}, view_mm);
    EXPECT_EQ(response.kept_halos, view_mm == 20);
    double sum_k = 0;
    for (int n = 0; n < 16; ++n) {
      const double angle = n * M_PI / 8;
      sum_k += static_cast<double>(response.rise_k(at.y + cvRound(10 * std::sin(angle)),
                                                   at.x + cvRound(10 * std::cos(angle))));
    }
    return sum_k / 16;
  };
  EXPECT_GT(halo_k(20), 2 * halo_k(60));
  EXPECT_EQ(halo_k(0), halo_k(60));  // Not known: as ever.
}

TEST(FitResponse, HoldsUnseenPixelsAtZero) {
  Stack stack = NoisyStack(8);
  testing::AddHeat(Image(1 * Blob(kSize, {3, 27}, 1.5)), kSteps, 1.5, 2, stack);
  stack.seen.colRange(0, 6) = static_cast<unsigned char>(0);
  const Response response = Fit(stack);
  EXPECT_EQ(cv::countNonZero(response.detector.z().colRange(0, 6)), 0);
  EXPECT_EQ(cv::countNonZero(response.detector.steps_k().colRange(0, 6)), 0);
}

}  // namespace
}  // namespace ohmglow
