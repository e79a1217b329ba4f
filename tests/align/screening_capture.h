// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <random>
#include <vector>

#include "align/screening.h"
#include "align/synthetic.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow::testing {

inline constexpr double kNoise_k = 0.05;

/// A textured scene that sways before a sensor with a fixed pattern, its noise
/// and counts of 0.01 K; the tests spoil its frames.
class Capture {
 public:
  explicit Capture(int count, double sway_px = 0.8, unsigned seed = 1, cv::Size size = {160, 120})
      : size_(size), random_(seed) {
    const AnalyticScene scene(size, seed);
    std::normal_distribution<float> normal(0, 0.1F);
    Image pattern(size);
    for (float& v : pattern) v = normal(random_);
    for (int n = 0; n < count; ++n) {
      Similarity motion;
      motion.dx_px = sway_px * std::sin(0.21 * n);
      motion.dy_px = sway_px * std::sin(0.13 * n + 1);
      motion.rotation_deg = 0.2 * sway_px * std::sin(0.08 * n);
      frames_k.emplace_back(scene.Render(motion) + pattern);
    }
  }

  /// A plane and a bowl with this much at the corners, from frame `first` on.
  void StepFrom(int first, double mean_k, double slope_k) {
    for (std::size_t n = static_cast<std::size_t>(first); n < frames_k.size(); ++n) {
      for (int r = 0; r < size_.height; ++r) {
        for (int c = 0; c < size_.width; ++c) {
          const double u = 2.0 * c / (size_.width - 1) - 1;
          frames_k[n](r, c) += static_cast<float>(mean_k + slope_k * u);
        }
      }
    }
  }

  /// Noise and counts; what follows comes after the sensor.
  void Expose(double noise_k = kNoise_k, double count_k = 0.01) {
    for (Image& frame : frames_k) {
      AddNoise(random_, noise_k, frame);
      for (float& v : frame) v = static_cast<float>(count_k * std::round(v / count_k));
    }
  }

  void Repeat(int first, int length) {
    for (int n = first; n < first + length; ++n) {
      frames_k[static_cast<std::size_t>(n)] = frames_k[static_cast<std::size_t>(first - 1)].clone();
    }
  }

  [[nodiscard]] internal::Screening Screen() const {
    std::vector<Image> copy;
    for (const Image& f : frames_k) copy.push_back(f.clone());
    MemoryFrames frames(std::move(copy));
    return internal::ScreenFrames(frames, AlignOptions(), {});
  }

  std::mt19937& random() { return random_; }

  std::vector<Image> frames_k;

 private:
  cv::Size size_;
  std::mt19937 random_;
};

inline int Count(const ScreeningReport& report, ScreeningEvent::Kind kind) {
  int n = 0;
  for (const ScreeningEvent& e : report.events) n += e.kind == kind ? 1 : 0;
  return n;
}

inline std::vector<int> Excluded(const ScreeningReport& report, ExcludedFrame::Kind kind) {
  std::vector<int> out;
  for (const ExcludedFrame& e : report.excluded) {
    if (e.kind == kind) out.push_back(e.index);
  }
  return out;
}

}  // namespace ohmglow::testing
