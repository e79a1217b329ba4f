// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tone/tone.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr int kFrames = 40;
const cv::Size kSize(96, 72);

// Texture of a board: smooth blobs of some degrees.
Image Texture(int seed) {
  cv::RNG rng(static_cast<std::uint64_t>(seed));
  Image noise(kSize);
  rng.fill(noise, cv::RNG::NORMAL, 0, 1);
  cv::GaussianBlur(noise, noise, {}, 2.0);
  cv::Scalar mean, sd;
  cv::meanStdDev(noise, mean, sd);
  return Image(300 + (noise - mean[0]) * (2 / sd[0]));
}

// A spot that warms in the second half, up to 12 degrees: every frame's range then grows.
Image Scene(const Image& texture, int n) {
  Image scene = texture.clone();
  const double rise = n < kFrames / 2 ? 0 : 12.0 * (n - kFrames / 2) / (kFrames / 2);
  Image spot(kSize, 0.0F);
  spot(30, 60) = 1;
  cv::GaussianBlur(spot, spot, {}, 5.0);
  double peak = 0;
  cv::minMaxLoc(spot, nullptr, &peak);
  return Image(scene + spot * (rise / peak));
}

// As a camera shows it: 8 bits from the least value to the largest.
struct Shown {
  Image picture;
  Tone tone;
};

Shown Show(const Image& scene, double noise_k, cv::RNG& rng) {
  Image noisy(kSize);
  rng.fill(noisy, cv::RNG::NORMAL, 0, noise_k);
  noisy += scene;
  double low = 0, high = 0;
  cv::minMaxLoc(noisy, &low, &high);
  Shown out{Image(kSize), {255 / (high - low), -255 * low / (high - low)}};
  for (int i = 0; i < static_cast<int>(noisy.total()); ++i) {
    out.picture.ptr<float>()[i] = static_cast<float>(std::clamp(
        std::round(out.tone.zero + out.tone.gain * static_cast<double>(noisy.ptr<float>()[i])),
        0.0,
        255.0));
  }
  return out;
}

// Pictures in memory, with the range of 8 bits.
class Pictures final : public FrameSource {
 public:
  explicit Pictures(std::vector<Image> frames) : frames_(std::move(frames)) {}
  [[nodiscard]] int count() const override { return static_cast<int>(frames_.size()); }
  [[nodiscard]] cv::Size size_px() const override { return frames_.front().size(); }
  [[nodiscard]] FrameValues values() const override { return FrameValues::kRelative; }
  [[nodiscard]] std::optional<ValueRange> range() const override { return ValueRange{0, 255}; }
  void Read(int index, Image& values) override {
    values = frames_[static_cast<std::size_t>(index)].clone();
  }

 private:
  std::vector<Image> frames_;
};

struct Capture {
  std::vector<Image> pictures;
  std::vector<Tone> tones;  // True ones.
};

Capture Film() {
  const Image texture = Texture(7);
  cv::RNG rng(11);
  Capture out;
  for (int n = 0; n < kFrames; ++n) {
    Shown shown = Show(Scene(texture, n), 0.05, rng);
    out.pictures.push_back(shown.picture);
    out.tones.push_back(shown.tone);
  }
  return out;
}

Alignment AtRest() {
  Alignment alignment;
  alignment.frames.resize(kFrames);
  return alignment;
}

// How far apart two frames' scales are at a value, per spread of the scene.
double Apart(const Tone& a, const Tone& a_true, const Tone& b, const Tone& b_true, double value_k) {
  const auto common = [&](const Tone& solved, const Tone& truth) {
    return (truth.zero + truth.gain * value_k - solved.zero) / solved.gain;
  };
  return (common(a, a_true) - common(b, b_true)) * (a.gain / a_true.gain);
}

TEST(MatchLevels, BringsFramesNearEnoughToRegister) {
  const Capture capture = Film();
  Pictures pictures(capture.pictures);
  const Tones tones = MatchLevels(pictures, {});
  ASSERT_EQ(tones.of_frame.size(), static_cast<std::size_t>(kFrames));
  const double ratio = tones.of_frame.back().gain / tones.of_frame.front().gain;
  EXPECT_NEAR(ratio, capture.tones.back().gain / capture.tones.front().gain, 0.04);
  // The test means something only where the range has changed.
  EXPECT_LT(capture.tones.back().gain, 0.95 * capture.tones.front().gain);
}

TEST(SolveTones, TellsGainAndZeroFromWhatDoesNotWarm) {
  const Capture capture = Film();
  Pictures pictures(capture.pictures);
  const Tones levels = MatchLevels(pictures, {});
  const Tones tones = SolveTones(SampleFrames(pictures, AtRest(), {}), levels, {});
  for (const double value_k : {297.0, 300.0, 303.0}) {
    for (int n = 1; n < kFrames; ++n) {
      // Half a step of 8 bits or less, which are 0.05 to 0.08 K here.
      EXPECT_NEAR(Apart(tones.of_frame[static_cast<std::size_t>(n)],
                        capture.tones[static_cast<std::size_t>(n)],
                        tones.of_frame[0],
                        capture.tones[0],
                        value_k),
                  0,
                  0.02)
          << "frame " << n << " at " << value_k << " K";
    }
  }
}

TEST(SolveTones, KeepsTheHeat) {
  const Capture capture = Film();
  Pictures pictures(capture.pictures);
  const Tones levels = MatchLevels(pictures, {});
  TonedFrames toned(pictures, SolveTones(SampleFrames(pictures, AtRest(), {}), levels, {}), Mask());
  Image first, last;
  toned.Read(0, first);
  toned.Read(kFrames - 1, last);
  const Image change(last - first);
  const double per_kelvin = capture.tones[0].gain / toned.tones().of_frame[0].gain;
  EXPECT_NEAR(cv::mean(change(cv::Rect(59, 29, 3, 3)))[0] / per_kelvin, 11.1, 0.3);
  EXPECT_NEAR(cv::mean(change(cv::Rect(5, 40, 20, 20)))[0] / per_kelvin, 0, 0.02);
}

TEST(FindMarks, FindsWhatIsDrawnInAndNothingElse) {
  Capture capture = Film();
  for (Image& picture : capture.pictures) {
    picture(cv::Rect(40, 10, 9, 1)) = 255;
    picture(cv::Rect(80, 5, 3, 40)) = 120;  // A piece of a bar, in the middle of the range.
  }
  Pictures pictures(capture.pictures);
  const Mask marks = FindMarks(pictures, MatchLevels(pictures, {}));
  ASSERT_FALSE(marks.empty());
  EXPECT_EQ(cv::countNonZero(marks(cv::Rect(40, 10, 9, 1))), 9);
  EXPECT_EQ(cv::countNonZero(marks(cv::Rect(80, 5, 3, 40))), 120);
  EXPECT_EQ(cv::countNonZero(marks(cv::Rect(0, 0, 36, 72))), 0);
  EXPECT_LT(cv::countNonZero(marks), 400);
}

TEST(ClippedShare, CountsPatchesAtTheWarmEndAlone) {
  Capture capture = Film();
  for (int n = 0; n < kFrames / 2; ++n) {
    capture.pictures[static_cast<std::size_t>(n)](cv::Rect(20, 20, 5, 5)) = 255;
    capture.pictures[static_cast<std::size_t>(n)](50, 50) = 255;
  }
  Pictures pictures(capture.pictures);
  const Image share = ClippedShare(pictures, AtRest());
  EXPECT_NEAR(share(22, 22), 0.5, 0.05);
  EXPECT_EQ(share(50, 50), 0);
}

TEST(ToneOptions, NameTheirFieldAndValue) {
  ToneOptions options;
  options.around = 4;
  try {
    options.Validate();
    FAIL() << "an even box passes";
  } catch (const OptionError& error) {
    EXPECT_NE(std::string(error.what()).find("around = 4"), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace ohmglow
