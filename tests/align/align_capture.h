// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/core.hpp>
#include <random>
#include <utility>
#include <vector>

#include "align/synthetic.h"
#include "ohmglow/align/alignment.h"

namespace ohmglow::testing {

inline const cv::Size kSize(120, 96);
inline constexpr double kNoise = 0.05;
inline constexpr int kFrames = 80;

inline Similarity Sway(int n) {
  const double t = 0.15 * n;
  return {1.2 * std::sin(t),
          0.9 * std::sin(0.7 * t + 1) - 0.9 * std::sin(1.0),
          0.1 * std::sin(0.5 * t),
          1};
}

// A capture of a swaying camera with column and pixel pattern.
inline std::vector<Image> Capture(int count, double texture = 1) {
  const AnalyticScene scene(kSize, 9);
  std::mt19937 random(21);
  Image pattern(kSize, 0.0F);
  AddNoise(random, 0.04, pattern);
  std::normal_distribution<float> column(0, 0.05F);
  for (int c = 0; c < kSize.width; ++c) pattern.col(c) += column(random);
  std::vector<Image> frames;
  for (int n = 0; n < count; ++n) {
    Image frame = scene.Render(Sway(n));
    frame = Image(300 + texture * (frame - 300));
    frame += pattern;
    AddNoise(random, kNoise, frame);
    frames.push_back(frame);
  }
  return frames;
}

inline Alignment AlignFrames(std::vector<Image> frames, const AlignOptions& options = {}) {
  MemoryFrames source(std::move(frames));
  return Align(source, options);
}

inline std::vector<double> Errors(const Alignment& alignment, const Similarity& reference) {
  std::vector<double> errors;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    if (!alignment.frames[n].used) continue;
    const Similarity truth = Sway(static_cast<int>(n)).After(reference.Inverse());
    errors.push_back(MotionDistance(alignment.frames[n].frame_from_reference, truth, kSize));
  }
  std::sort(errors.begin(), errors.end());
  return errors;
}

}  // namespace ohmglow::testing
