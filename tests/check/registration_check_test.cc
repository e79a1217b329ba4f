// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/check/registration_check.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <random>

#include "align/synthetic.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

const cv::Size kSize(128, 96);

Case MakeCase(double contrast, int num_frames) {
  const testing::AnalyticScene scene(kSize, 11);
  std::mt19937 random(2);
  std::vector<Image> frames;
  Case job;
  for (int n = 0; n < num_frames; ++n) {
    const Similarity motion{std::sin(0.31 * n) - std::sin(0.0), 0.6 * std::sin(0.17 * n), 0, 1};
    Image frame = scene.Render(motion);
    frame = 300 + contrast * (frame - 300);
    testing::AddNoise(random, 0.04, frame);
    frames.push_back(frame);
    job.frame_times_s.push_back(0.125 * n);
  }
  job.frames = std::make_shared<MemoryFrames>(frames);
  return job;
}

TEST(RegistrationCheck, HoldsWhereTheTextureIsGood) {
  const RegistrationCheck check = CheckRegistration(MakeCase(1, 80), {});
  EXPECT_EQ(check.verdict, RegistrationVerdict::kHolds);
  EXPECT_LT(check.error_px, 0.1);
  ASSERT_TRUE(check.leftover_px.has_value());
  EXPECT_LT(*check.leftover_px, 0.1);
  EXPECT_EQ(check.static_k.size(), kSize);
  EXPECT_EQ(check.residual_k.size(), kSize);
  EXPECT_EQ(check.row.after_k.rows, 80);
  // Two frames a bin at most 128 bins: the noise of a mean.
  EXPECT_NEAR(check.noise_k, 0.04, 0.004);
}

TEST(RegistrationCheck, DoesNotHoldWhereNothingTellsTheMotion) {
  const RegistrationCheck check = CheckRegistration(MakeCase(0.002, 80), {});
  EXPECT_NE(check.verdict, RegistrationVerdict::kHolds);
  EXPECT_FALSE(check.leftover_px.has_value());
}

TEST(RegistrationCheck, WantsFrames) {
  EXPECT_THROW((void)CheckRegistration(MakeCase(1, 6), {}), DataError);
  EXPECT_THROW((void)CheckRegistration(Case{}, {}), DataError);
}

}  // namespace
}  // namespace ohmglow
