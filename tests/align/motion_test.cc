// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/motion.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "align/band.h"
#include "align/model_choice.h"
#include "align/prepare.h"
#include "align/search.h"
#include "align/smooth.h"
#include "align/synthetic.h"
#include "align/warp.h"

namespace ohmglow::internal {
namespace {

using testing::AddNoise;
using testing::AnalyticScene;
using testing::MotionDistance;

Similarity AsSimilarity(const Motion& motion, cv::Size size) {
  return BestSimilarity(ToPlaneMap(motion, size), size);
}

constexpr double kTexture = 0.3;
constexpr double kWave = 2 * std::numbers::pi / 16;

// Waves across the picture's diagonals: along rows and columns they could not
// be told from offsets of these, which a sensor has.
Image Waves(cv::Size size, double dx, double dy) {
  Image image(size);
  for (int r = 0; r < size.height; ++r) {
    for (int c = 0; c < size.width; ++c) {
      const double u = (c - dx + r - dy) / std::numbers::sqrt2;
      const double v = (c - dx - r + dy) / std::numbers::sqrt2;
      image(r, c) = static_cast<float>(kTexture * (std::sin(kWave * u) + std::sin(kWave * v)));
    }
  }
  return image;
}

// Robinson, Milanfar, IEEE Trans. Image Process. 13 (2004) 1185-1199: 0.00271 px for
// A = 0.3 K, period 16 px, 256 x 192 px, sigma 0.05 K.
TEST(Texture, StatesTheCramerRaoBoundOfAShift) {
  const cv::Size size(256, 192);
  const Image model = Waves(size, 0, 0);
  const Texture texture(model, Image(size, 1.0F), size.area(), MotionModel::kSimilarity);
  Image frame = Waves(size, 0, 0);
  std::mt19937 random(3);
  AddNoise(random, 0.05, frame);
  const MotionFit fit = texture.Fit(frame, Motion::eye(), 4);
  // The four outermost pixels of each side are not used; the offsets of rows
  // and columns take a few per cent.
  const double share = std::sqrt(256.0 * 192 / (248.0 * 184));
  EXPECT_NEAR(std::sqrt(fit.covariance_px2(0, 0)) / share, 0.00271, 0.07 * 0.00271);
  EXPECT_NEAR(std::sqrt(fit.covariance_px2(1, 1)) / share, 0.00271, 0.07 * 0.00271);
}

// The same paper: gradient-based registration is biased. Here it is not,
// to a fifth of one frame's own error.
TEST(Texture, ReachesTheBoundWithoutBias) {
  const cv::Size size(96, 80);
  const Texture texture(
      Waves(size, 0, 0), Image(size, 1.0F), size.area(), MotionModel::kSimilarity);
  std::mt19937 random(5);
  constexpr int kTrials = 300;
  double mean = 0, square = 0, bound = 0;
  for (int i = 0; i < kTrials; ++i) {
    const double shift = 0.5 * i / kTrials;
    Image frame = Waves(size, shift, 0);
    AddNoise(random, 0.05, frame);
    const MotionFit fit = texture.Fit(frame, Motion::eye(), 10);
    const double error = fit.frame_from_reference(0, 2) - shift;
    mean += error / kTrials;
    square += error * error / kTrials;
    bound += fit.covariance_px2(0, 0) / kTrials;
  }
  EXPECT_LT(std::abs(mean), 0.2 * std::sqrt(bound));
  EXPECT_NEAR(std::sqrt(square / bound), 1, 0.15);
}

// Heat that rewrites half of the picture leaves the other half as it was; a picture of
// something else agrees nowhere.
TEST(Texture, KnowsTheSceneBesideStrongHeat) {
  const cv::Size size(128, 96);
  const Image model = Waves(size, 0, 0);
  const Texture texture(model, Image(size, 1.0F), size.area(), MotionModel::kShift);
  std::mt19937 random(9);
  Image noise(size, 0.0F);
  AddNoise(random, 5, noise);
  cv::GaussianBlur(noise, noise, {}, 2);
  Image heated = Waves(size, 0.2, 0);
  const cv::Rect half(0, 0, size.width / 2 + 6, size.height);
  heated(half) = heated(half) + noise(half);
  const MotionFit fit = texture.Fit(heated, Motion::eye(), 6);
  EXPECT_LT(fit.correlation, 0.7);
  EXPECT_GT(fit.agreement, 0.9);
  EXPECT_NEAR(fit.frame_from_reference(0, 2), 0.2, 0.1);
  const MotionFit foreign = texture.Fit(noise, Motion::eye(), 6);
  EXPECT_LT(foreign.agreement, 0.45);
}

// Two thirds of the picture warm, are known to vary and hardly count. They must not set the scale
// either by which something that moves through the rest counts as outlying.
TEST(Texture, TakesItsScaleFromWhatCounts) {
  const cv::Size size(96, 72);
  constexpr double kNoise = 0.02;
  constexpr double kHeatK = 2;
  const Image model = Waves(size, 0, 0);
  const cv::Rect warm(32, 0, 64, 72);
  Image weight(size, 1.0F);
  weight(warm) = static_cast<float>(std::pow(kNoise / kHeatK, 2));
  const Texture texture(model, weight, size.area(), MotionModel::kShift);
  std::mt19937 random(5);
  Image frame = Waves(size, 0.2, -0.1);
  Image heat(size, 0.0F);
  AddNoise(random, kHeatK, heat);
  frame(warm) += heat(warm);
  frame(cv::Rect(8, 30, 10, 14)) += 0.5F;
  AddNoise(random, kNoise, frame);
  const MotionFit fit = texture.Fit(frame, Motion::eye(), 10);
  EXPECT_LT(
      cv::norm(Point(fit.frame_from_reference(0, 2) - 0.2, fit.frame_from_reference(1, 2) + 0.1)),
      0.03);
}

TEST(Texture, IsSilentWithoutTexture) {
  const cv::Size size(64, 48);
  const Texture texture(
      Image(size, 0.0F), Image(size, 1.0F), size.area(), MotionModel::kSimilarity);
  EXPECT_TRUE(std::isinf(texture.BoundPx(0.05)));
  const MotionFit fit = texture.Fit(Image(size, 0.0F), Motion::eye(), 3);
  EXPECT_EQ(fit.frame_from_reference(0, 2), 0);
}

TEST(MotionVector, ReturnsTheSameSimilarity) {
  const cv::Size size(160, 120);
  const Similarity s{1.5, -2.25, 0.7, 1.01};
  EXPECT_NEAR(
      MotionDistance(AsSimilarity(FromVector(ToVector(ToMotion(s), size), size), size), s, size),
      0,
      1e-12);
}

TEST(MotionVector, MeasuresDisplacementOverTheFrame) {
  const cv::Size size(160, 120);
  const double turned = cv::norm(ToVector(ToMotion({0, 0, 0.1, 1}), size));
  double sum = 0;
  for (int r = 0; r < size.height; ++r) {
    for (int c = 0; c < size.width; ++c) {
      const Point d = Similarity{0, 0, 0.1, 1}.Apply(Point(c, r), size) - Point(c, r);
      sum += d.dot(d);
    }
  }
  EXPECT_NEAR(turned, std::sqrt(sum / size.area()), 1e-5);
}

TEST(MotionVector, ReturnsTheSamePerspective) {
  const cv::Size size(160, 120);
  const Motion m{1.01, -0.02, 1.5, 0.03, 0.98, -2, 1e-4, -2e-4, 1};
  EXPECT_LT(cv::norm(FromVector(ToVector(m, size), size) - m), 1e-12);
  EXPECT_LT(cv::norm(Joined(m, InverseOf(m)) - Motion::eye()), 1e-12);
}

// Each of the eight directions is one pixel rms over the frame.
TEST(MotionVector, HasUnitDirections) {
  const cv::Size size(160, 120);
  for (int k = 0; k < kMostParameters; ++k) {
    MotionVector v;
    v[k] = 0.01;
    const PlaneMap map = ToPlaneMap(FromVector(v, size), size);
    double sum = 0;
    for (int r = 0; r < size.height; ++r) {
      for (int c = 0; c < size.width; ++c) {
        const Point d = map.Apply(Point(c, r)) - Point(c, r);
        sum += d.dot(d);
      }
    }
    EXPECT_NEAR(std::sqrt(sum / size.area()), 0.01, 2e-4) << k;
    EXPECT_NEAR(DisplacementPx(v, size), 0.01, 1e-6) << k;
  }
}

// The sensor's columns and rows wander from frame to frame; the scene does not.
TEST(Texture, IsBlindToOffsetsOfColumnsAndRows) {
  const cv::Size size(96, 80);
  const AnalyticScene scene(size, 3);
  Image model = scene.Render({});
  model -= 300;
  const Texture texture(model, Image(size, 1.0F), size.area() / 3, MotionModel::kSimilarity);
  Image frame = model.clone();
  std::mt19937 random(2);
  std::normal_distribution<float> normal(0, 0.03F);
  for (int c = 0; c < size.width; ++c) frame.col(c) += normal(random);
  for (int r = 0; r < size.height; ++r) frame.row(r) += normal(random);
  const MotionFit fit = texture.Fit(frame, Motion::eye(), 8);
  EXPECT_LT(cv::norm(ToVector(fit.frame_from_reference, size)), 0.012);  // 0.05 if they count.
}

// sqrt((1 + 1/9 - 4/10) / (4 pi)), see prepare.h.
TEST(BandOf, KeepsTheStatedShareOfWhiteNoise) {
  Image noise(400, 400, 0.0F);
  std::mt19937 random(4);
  AddNoise(random, 1, noise);
  BandScratch scratch;
  Image band;
  BandOf(noise, scratch, band);
  EXPECT_NEAR(std::sqrt(band.dot(band) / static_cast<double>(band.total())), kBandNoise, 0.005);
  Image plain(64, 48, 7.0F);
  BandOf(plain, scratch, band);
  EXPECT_LT(cv::norm(band, cv::NORM_INF), 1e-5);
}

TEST(RemoveColumnsAndRows, LeavesAnEdgeAndTakesAStripe) {
  Image image(60, 80, 0.0F);
  std::mt19937 random(4);
  AddNoise(random, 0.01, image);
  image.col(20) += 0.02;
  image(cv::Rect(30, 10, 20, 1)) += 1;  // A quarter of the row: a plain mean has 0.25.
  RemoveColumnsAndRows(image);
  EXPECT_NEAR(cv::mean(image.col(20))[0], 0, 0.006);
  EXPECT_NEAR(cv::mean(image(cv::Rect(55, 10, 25, 1)))[0], 0, 0.02);
}

Quadratic Half(double score, int parameter, double information) {
  Quadratic q;
  q.information = MotionMatrix::eye() * information;
  q.score[parameter] = score;
  return q;
}

// What both halves tell alike is kept; what each tells by itself is noise.
TEST(ChooseModel, KeepsWhatTheOtherHalfConfirms) {
  std::vector<PlacedQuadratics> agree, disagree;
  for (int n = 0; n < 20; ++n) {
    const double pull = 10 * std::sin(n);
    PlacedQuadratics f;
    f.halves = {Half(pull, 2, 1), Half(pull, 2, 1)};
    agree.push_back(f);
    f.halves = {Half(pull, 2, 1), Half(-pull, 2, 1)};
    disagree.push_back(f);
  }
  const ModelChoice kept = ChooseModel(agree);
  EXPECT_EQ(kept.model, MotionModel::kRigid);
  EXPECT_NEAR(kept.gain[1], 50, 5);  // Half of the mean square pull, twice.
  const ModelChoice shut = ChooseModel(disagree);
  EXPECT_EQ(shut.model, MotionModel::kShift);
  EXPECT_LT(shut.gain[1], -100);
}

TEST(Warp, AgreesWithTheSceneItself) {
  const cv::Size size(96, 80);
  const AnalyticScene scene(size, 2);
  const Similarity motion{2.3, -1.6, 1.5, 1.01};
  Image warped;
  Warp(scene.Render(motion), ToMotion(motion), warped);
  const Image still = scene.Render({});
  double worst = 0;
  for (int r = 10; r < size.height - 10; ++r) {
    for (int c = 10; c < size.width - 10; ++c) {
      worst = std::max(worst, std::abs(static_cast<double>(warped(r, c) - still(r, c))));
    }
  }
  EXPECT_LT(worst, 0.02);  // Cubic interpolation of spots of 1.2 px, 0.5 K high.
}

TEST(CoarseToFine, FindsABumpedFrame) {
  const cv::Size size(160, 120);
  const AnalyticScene scene(size, 4);
  Image model = scene.Render({});
  model -= 300;
  const CoarseToFine search(model, Image(size, 1.0F), size.area(), 25, MotionModel::kSimilarity);
  for (const Similarity& bump :
       {Similarity{20, -6, 3, 1}, Similarity{-12, 15, -3, 1.01}, Similarity{3, -19, 1.5, 0.99}}) {
    Image frame = scene.Render(bump);
    frame -= 300;
    const MotionFit fit = search.Search(frame, Motion::eye());
    EXPECT_LT(MotionDistance(AsSimilarity(fit.frame_from_reference, size), bump, size), 0.03);
    EXPECT_GT(fit.correlation, 0.9);
  }
}

TEST(SmoothWalk, BringsACameraAtRestToRest) {
  std::mt19937 random(1);
  std::normal_distribution<double> noise(0, 0.05);
  std::vector<double> measured(300);
  for (double& v : measured) v = 1 + noise(random);
  const SmoothSeries out = SmoothWalk(measured, 0.05 * 0.05);
  for (const double v : out.value) EXPECT_NEAR(v, 1, 0.025);
}

TEST(SmoothWalk, LeavesMotionAndBumpsAlone) {
  std::mt19937 random(1);
  std::normal_distribution<double> noise(0, 0.01);
  std::vector<double> truth(300), measured(300);
  for (std::size_t i = 0; i < truth.size(); ++i) {
    truth[i] = std::sin(0.4 * static_cast<double>(i)) + (i >= 150 ? 15 : 0);
    measured[i] = truth[i] + noise(random);
  }
  const SmoothSeries out = SmoothWalk(measured, 0.01 * 0.01);
  double square = 0;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    EXPECT_NEAR(out.value[i], truth[i], 0.05);
    square += (out.value[i] - truth[i]) * (out.value[i] - truth[i]) / 300;
  }
  EXPECT_LT(std::sqrt(square), 0.0115);
}

}  // namespace
}  // namespace ohmglow::internal
