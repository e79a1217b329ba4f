// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/check/capture_check.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <memory>
#include <random>

#include "check/thinned_frames.h"
#include "ohmglow/base/error.h"
#include "ohmglow/words/say.h"
#include "support/plate_film.h"

namespace ohmglow {
namespace {

using ::testing::HasSubstr;
using testing::Steps;

const cv::Size kSize(96, 72);
const Steps kAlternating = {{5, 2.0}, {10, 0.0}, {15, 2.0}, {20, 0.0}, {25, 2.0}, {30, 0.0}};
constexpr int kNumFrames = 140;
constexpr double kFrameS = 0.25;
constexpr double kNoiseK = 0.05;

// A board on a stand that takes 150 mW at one place.
Case Film(const Steps& steps) {
  Stack stack = testing::StillStack(kSize, kNumFrames, 1, kFrameS, 0);
  testing::PlateSource source;
  source.power_w = 0.15;
  source.center_px = Point(61, 30);
  testing::AddPlate(source, steps, stack);
  std::mt19937 random(5);
  testing::AddNoise(random, kNoiseK, stack);
  Case job;
  for (std::size_t i = 0; i < kNumFrames; ++i) {
    Image& frame = stack.bins_k[i];
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) {
        frame(y, x) += static_cast<float>(296 + 0.6 * std::sin(0.45 * x) * std::cos(0.38 * y) +
                                          0.4 * std::sin(0.13 * x - 0.52 * y));
      }
    }
    job.frame_times_s.push_back(kFrameS * static_cast<double>(i));
  }
  job.frames = std::make_shared<MemoryFrames>(std::move(stack.bins_k));
  job.supply = testing::StepLog(steps, 36);
  job.emissivity = 1;
  return job;
}

std::string Reasons(const CaptureCheck& check) {
  std::string text;
  for (const ToDo& item : check.todo) text += Say(item.why) + "|" + Say(item.what) + "\n";
  return text;
}

TEST(CheckCapture, FindsNothingToDoAgainInAGoodCapture) {
  const CaptureCheck check = CheckCapture(Film(kAlternating), {});
  EXPECT_EQ(check.usable, Usable::kYes) << Reasons(check);
  EXPECT_EQ(check.num_frames, kNumFrames);
  EXPECT_NEAR(check.rate_hz, 1 / kFrameS, 1e-9);
  EXPECT_TRUE(check.left_out.empty());
  ASSERT_TRUE(check.noise_k.has_value());
  EXPECT_NEAR(*check.noise_k, kNoiseK, 0.15 * kNoiseK);
  ASSERT_TRUE(check.view.has_value());
  EXPECT_EQ(check.view->verdict, RegistrationVerdict::kHolds);
  ASSERT_EQ(check.levels.size(), 7U);
  EXPECT_NEAR(check.levels[1].amps_a, 2, 0.02);
  ASSERT_TRUE(check.clock_offset_s.has_value());
  EXPECT_NEAR(*check.clock_offset_s, 0, 0.2);
  ASSERT_TRUE(check.detectable_w.has_value());
  EXPECT_LT(*check.detectable_w, 0.15);
}

TEST(CheckCapture, LooksAtFewOfManyFramesAndFindsTheSame) {
  const Case job = Film(kAlternating);
  const CaptureCheck all = CheckCapture(job, {});
  CaptureCheckOptions few;
  few.most_pixels = 0.5 * kNumFrames * kSize.area();
  const CaptureCheck half = CheckCapture(job, few);
  EXPECT_EQ(all.num_looked_at, kNumFrames);
  EXPECT_EQ(half.num_looked_at, kNumFrames / 2);
  EXPECT_NEAR(half.rate_hz, all.rate_hz, 1e-9);
  EXPECT_EQ(half.levels.size(), all.levels.size());
  // White noise alone, which is all there is here, grows with the root of the step.
  EXPECT_NEAR(*half.detectable_w / *all.detectable_w, std::sqrt(2), 0.3);
}

TEST(CheckCapture, AsksForAlternationWhereTheCurrentOnlyRises) {
  const CaptureCheck check = CheckCapture(Film({{5, 1.0}, {15, 2.0}}), {});
  EXPECT_EQ(check.usable, Usable::kWithWarnings);
  EXPECT_THAT(Reasons(check), HasSubstr("only rises"));
}

TEST(CheckCapture, IsNotUsableWithoutAStep) {
  Case job = Film(kAlternating);
  for (double& amps_a : job.supply->amps_a) amps_a = 1;
  const CaptureCheck check = CheckCapture(job, {});
  EXPECT_EQ(check.usable, Usable::kNo);
  ASSERT_FALSE(check.todo.empty());
  EXPECT_TRUE(check.todo.front().needed);
  EXPECT_FALSE(check.todo.front().what.empty());
  // What needs no current is told all the same.
  EXPECT_TRUE(check.view.has_value());
  EXPECT_FALSE(check.detectable_w.has_value());
}

TEST(CheckCapture, CountsFramesThatStandStillInAllOfThem) {
  Case job = Film(kAlternating);
  std::vector<Image> frames(kNumFrames);
  for (int n = 0; n < kNumFrames; ++n) job.frames->Read(n, frames[static_cast<std::size_t>(n)]);
  for (std::size_t n = 41; n < 44; ++n) frames[n] = frames[40].clone();
  job.frames = std::make_shared<MemoryFrames>(frames);
  CaptureCheckOptions few;
  few.most_pixels = 0.5 * kNumFrames * kSize.area();
  const CaptureCheck check = CheckCapture(job, few);
  ASSERT_EQ(check.left_out.size(), 1U);
  EXPECT_EQ(check.left_out.front().frames, 3);
}

// Frames of which two cannot be read.
class Spoilt final : public FrameSource {
 public:
  explicit Spoilt(std::shared_ptr<FrameSource> all) : all_(std::move(all)) {}
  [[nodiscard]] int count() const override { return all_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return all_->size_px(); }
  void Read(int index, Image& kelvin) override {
    all_->Read(index, kelvin);
    if (!Problem(index).empty()) kelvin.setTo(std::numeric_limits<float>::quiet_NaN());
  }
  [[nodiscard]] std::string Problem(int index) const override {
    return index == 7 || index == 9 ? "film/f" + std::to_string(index) + ".png: it is cut short"
                                    : "";
  }

 private:
  std::shared_ptr<FrameSource> all_;
};

TEST(CheckCapture, NamesTheFirstFileThatCannotBeRead) {
  Case job = Film(kAlternating);
  job.frames = std::make_shared<Spoilt>(job.frames);
  const CaptureCheck check = CheckCapture(job, {});
  ASSERT_EQ(check.left_out.size(), 1U);
  EXPECT_EQ(check.left_out.front().frames, 2);
  EXPECT_EQ(SayInShort(check.left_out.front().reason), "cannot be read (first: film/f7.png)");
}

TEST(CheckCapture, AsksForLandmarksWhereAPartsListIsTiedToNothing) {
  Case job = Film(kAlternating);
  job.parts.resize(2);  // Fewer bodies than are ever believed.
  for (Part& part : job.parts) part.width_mm = part.height_mm = 2;
  job.parts[1].center_mm = Point(20, 10);
  const CaptureCheck check = CheckCapture(job, {});
  EXPECT_EQ(check.usable, Usable::kWithWarnings);
  EXPECT_FALSE(check.num_parts_seen.has_value());
  EXPECT_THAT(Reasons(check), HasSubstr("landmarks with board_x_mm"));
}

TEST(CheckCapture, RefusesOptionsOutOfRange) {
  CaptureCheckOptions options;
  options.most_pixels = 10;
  EXPECT_THROW((void)CheckCapture(Film(kAlternating), options), OptionError);
}

TEST(CheckCapture, SaysThatTooFewFramesAreNotUsable) {
  Case job;
  EXPECT_EQ(CheckCapture(job, {}).usable, Usable::kNo);
  job.frames = std::make_shared<MemoryFrames>(std::vector<Image>(3, Image(48, 64, 300.0F)));
  job.frame_times_s = {0, 1, 2};
  EXPECT_EQ(CheckCapture(job, {}).usable, Usable::kNo);
}

TEST(Thinned, KeepsEveryNthFrameAndItsTime) {
  std::vector<Image> frames;
  Case job;
  for (int n = 0; n < 7; ++n) {
    frames.emplace_back(2, 2, static_cast<float>(n));
    job.frame_times_s.push_back(10 * n);
  }
  job.frames = std::make_shared<MemoryFrames>(frames);
  const Case thin = internal::Thinned(job, 3);
  EXPECT_EQ(thin.frames->count(), 3);
  EXPECT_EQ(thin.frame_times_s, (std::vector<double>{0, 30, 60}));
  Image frame;
  thin.frames->Read(2, frame);
  EXPECT_EQ(frame(0, 0), 6);
}

}  // namespace
}  // namespace ohmglow
