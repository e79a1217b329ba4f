// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/screening.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <opencv2/imgproc.hpp>
#include <string>

#include "align/robust.h"
#include "ohmglow/base/error.h"

namespace ohmglow::internal {
namespace {

constexpr int kGridColumns = 4;  // Blocks whose medians show a smooth step of the picture.
constexpr int kGridRows = 3;
constexpr int kSampleStep = 4;       // Every n-th pixel and row is enough for a median.
constexpr double kStuckRatio = 0.4;  // Liveliness against the neighbours' median.
constexpr double kNoisyRatio = 3.0;
constexpr double kJumpRatio = 8.0;    // Against the usual step of the same capture.
constexpr double kJumpNoise = 0.75;   // And never below this share of a pixel's noise.
constexpr double kSmoothRatio = 1.4;  // A step this much rougher than usual is motion.

bool SamePixels(const Image& a, const Image& b) {
  for (int r = 0; r < a.rows; ++r) {
    if (std::memcmp(a[r], b[r], static_cast<std::size_t>(a.cols) * sizeof(float)) != 0) {
      return false;
    }
  }
  return true;
}

double FiniteShare(const Image& frame) {
  std::size_t finite = 0;
  for (int r = 0; r < frame.rows; ++r) {
    const float* v = frame[r];
    for (int c = 0; c < frame.cols; ++c) finite += std::isfinite(v[c]) ? 1U : 0U;
  }
  return static_cast<double>(finite) / static_cast<double>(frame.total());
}

// How the picture changed from one frame to the next.
struct Step {
  double pattern_k = 0;    // Rms of the block medians: what is smooth in space.
  double roughness_k = 0;  // Robust spread of the change from a pixel to the next one.
};

Step MeasureStep(const Image& before, const Image& after) {
  std::vector<float> rough, block[kGridColumns * kGridRows];
  rough.reserve(before.total() / (kSampleStep * kSampleStep) + 16);
  for (int r = 0; r < after.rows; r += kSampleStep) {
    const int block_row = r * kGridRows / after.rows;
    // Staggered rows, lest a camera's column pattern be met again and again.
    for (int c = (r / kSampleStep) % kSampleStep; c + 1 < after.cols; c += kSampleStep) {
      const float d = after(r, c) - before(r, c);
      const float e = after(r, c + 1) - before(r, c + 1);
      if (!std::isfinite(d) || !std::isfinite(e)) continue;
      rough.push_back(e - d);
      block[block_row * kGridColumns + c * kGridColumns / after.cols].push_back(d);
    }
  }
  Step step;
  double sum = 0;
  for (auto& values : block) {
    const double m = static_cast<double>(MedianInPlace(values));
    sum += m * m;
  }
  step.pattern_k = std::sqrt(sum / (kGridColumns * kGridRows));
  step.roughness_k = RobustSigmaInPlace(rough);
  return step;
}

// Per-pixel sums over the steps between frames, and over the frames.
struct PixelSums {
  explicit PixelSums(cv::Size size)
      : change_sq(size, 0.0F), num_changes(size, 0.0F), value(size, 0.0F), num_values(size, 0.0F) {}

  void AddChange(const Image& before, const Image& after) {
    for (int r = 0; r < after.rows; ++r) {
      const float* a = before[r];
      const float* b = after[r];
      float* sq = change_sq[r];
      float* n = num_changes[r];
      for (int c = 0; c < after.cols; ++c) {
        const float d = b[c] - a[c];
        const bool finite = std::abs(d) < 1e6F;  // False for NaN; vectorises.
        sq[c] += finite ? d * d : 0.0F;
        n[c] += finite ? 1.0F : 0.0F;
      }
    }
  }

  void AddValue(const Image& frame, float origin_k) {
    for (int r = 0; r < frame.rows; ++r) {
      const float* a = frame[r];
      float* v = value[r];
      float* n = num_values[r];
      for (int c = 0; c < frame.cols; ++c) {
        const float d = a[c] - origin_k;
        const bool finite = std::abs(d) < 1e6F;
        v[c] += finite ? d : 0.0F;
        n[c] += finite ? 1.0F : 0.0F;
      }
    }
  }

  Image change_sq, num_changes, value, num_values;
};

// Median over the 5 x 5 neighbourhood.
Image NeighbourMedian(const Image& image) {
  Image out;
  cv::medianBlur(image, out, 5);
  return out;
}

// Whether the pixel stands so far out of its eight neighbours that no focused
// picture explains it: blur spreads a point over several pixels.
bool IsLonelySpike(const Image& mean_k, int r, int c, double limit_k) {
  float low = 0, high = 0;
  bool first = true;
  for (int i = std::max(r - 1, 0); i <= std::min(r + 1, mean_k.rows - 1); ++i) {
    for (int j = std::max(c - 1, 0); j <= std::min(c + 1, mean_k.cols - 1); ++j) {
      if (i == r && j == c) continue;
      const float v = mean_k(i, j);
      low = first ? v : std::min(low, v);
      high = first ? v : std::max(high, v);
      first = false;
    }
  }
  const double out = std::max(mean_k(r, c) - high, low - mean_k(r, c));
  return out > std::max(limit_k, 1.5 * static_cast<double>(high - low));
}

void JudgePixels(const PixelSums& sums, double dead_pixel_sigmas, Screening& result) {
  Image lively, mean_k;
  cv::divide(sums.change_sq, 2 * cv::max(sums.num_changes, 1.0F), lively);
  cv::sqrt(lively, lively);
  cv::divide(sums.value, cv::max(sums.num_values, 1.0F), mean_k);
  const Image usual = NeighbourMedian(lively);

  std::vector<float> seen(lively.begin(), lively.end());
  result.noise_k = static_cast<double>(MedianInPlace(seen));
  result.good_pixels = Mask(lively.size(), static_cast<unsigned char>(255));
  for (int r = 0; r < lively.rows; ++r) {
    for (int c = 0; c < lively.cols; ++c) {
      const double ratio = static_cast<double>(lively(r, c)) / std::max(1e-9F, usual(r, c));
      const bool unseen = sums.num_values(r, c) < 1;
      const bool odd = sums.num_changes(r, c) >= 8 && (ratio < kStuckRatio || ratio > kNoisyRatio);
      const bool lonely = IsLonelySpike(mean_k, r, c, dead_pixel_sigmas * result.noise_k);
      if (unseen || odd || lonely) result.good_pixels(r, c) = 0;
    }
  }
}

// Tells steps that say something of single pixels from bumps and jumps, which
// make them all lively, stuck ones excepted.
class UsualSteps {
 public:
  // Whether `step` is like the first ones.
  bool Add(const Step& step) {
    if (roughness_k_.size() < kFirst) {
      roughness_k_.push_back(step.roughness_k);
      pattern_k_.push_back(step.pattern_k);
    }
    return step.roughness_k < 1.5 * Median(roughness_k_) + 1e-12 &&
           step.pattern_k < 0.5 * Median(roughness_k_) + 1e-12;
  }

 private:
  static constexpr std::size_t kFirst = 32;
  std::vector<double> roughness_k_, pattern_k_;
};

// Numbers the segments and writes the reasons. steps[n] leads from the used
// frame before n to frame n; repeats carry none.
void CountSegments(const std::vector<Step>& steps, double noise_k, Screening& result) {
  std::vector<double> pattern, roughness;
  for (std::size_t n = 1; n < steps.size(); ++n) {
    if (!result.frames[n].used) continue;
    pattern.push_back(steps[n].pattern_k);
    roughness.push_back(steps[n].roughness_k);
  }
  const double jump_k = std::max(kJumpRatio * MedianInPlace(pattern), kJumpNoise * noise_k);
  const double smooth_k = kSmoothRatio * MedianInPlace(roughness);
  int segment = 0;
  int repeats = 0;
  for (std::size_t n = 0; n < steps.size(); ++n) {
    if (!result.frames[n].used) {
      ++repeats;
    } else {
      const bool jump = n > 0 && steps[n].pattern_k > jump_k && steps[n].roughness_k < smooth_k;
      if (repeats >= 2 || jump) ++segment;
      repeats = 0;
    }
    result.frames[n].segment = segment;
  }
  result.num_segments = segment + 1;
}

}  // namespace

Screening ScreenFrames(FrameSource& frames,
                       const AlignOptions& options,
                       const std::function<void(double)>& progress) {
  const int count = frames.count();
  Screening result;
  result.frames.resize(static_cast<std::size_t>(count));
  PixelSums sums(frames.size_px());
  std::vector<Step> steps(static_cast<std::size_t>(count));
  UsualSteps usual;
  Image before, frame;
  int last = -1;
  float origin_k = 0;
  for (int n = 0; n < count; ++n) {
    frames.Read(n, frame);
    FrameState& state = result.frames[static_cast<std::size_t>(n)];
    if (last >= 0 && SamePixels(before, frame)) {
      state.used = false;
      state.reason = "repeats frame " + std::to_string(last) + " bit for bit";
    } else if (FiniteShare(frame) < 0.5) {
      state.used = false;
      state.reason = "more than half of its pixels are saturated";
    } else {
      if (last < 0) {
        std::vector<float> values(frame.begin(), frame.end());
        std::erase_if(values, [](float v) { return !std::isfinite(v); });
        origin_k = MedianInPlace(values);
      } else {
        Step& step = steps[static_cast<std::size_t>(n)];
        step = MeasureStep(before, frame);
        if (usual.Add(step) && last == n - 1) sums.AddChange(before, frame);
      }
      sums.AddValue(frame, origin_k);
      std::swap(before, frame);
      last = n;
    }
    if (progress) progress((n + 1.0) / count);
  }
  JudgePixels(sums, options.dead_pixel_sigmas, result);
  CountSegments(steps, result.noise_k, result);
  return result;
}

}  // namespace ohmglow::internal
