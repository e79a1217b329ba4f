// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>

#include "heat/drive.h"
#include "heat/power_map.h"
#include "support/slab_film.h"

namespace ohmglow::testing {

inline const Steps kSteps = {{3, 0.6}, {10, 1.0}, {17, 0.0}};
inline constexpr double kEndS = 24;
inline constexpr double kMmPerPixel = 0.4;
inline constexpr double kNoiseK = 0.05;
inline const cv::Size kSize(96, 72);

// One drive, one stack of 16 bins, and the two sources on them.
struct Bench {
  Bench()
      : stack(StillStack(kSize, 16, 12, 0.125)),
        drive(StepLog(kSteps, kEndS), 0),
        model(TemporalModel::OffsetAlone(stack)),
        near(plate, kSteps, stack, model, kMmPerPixel, SizeM(), true),
        far(plate, kSteps, stack, model, kMmPerPixel, SizeM(), false) {}

  static double SizeM() {
    const PowerMapOptions options;
    return 1e-3 * std::hypot(options.blur_px * kMmPerPixel, options.source_mm);
  }
  [[nodiscard]] PowerMap Map(const Response& response) const {
    return MakePowerMap(response, model, drive, plate, kMmPerPixel, {});
  }
  [[nodiscard]] Response Noise(std::mt19937& random,
                               double noise_k = kNoiseK,
                               cv::Size size = kSize) const {
    return WhiteResponse(size, noise_k, model, random);
  }
  // Watts at which a near source in the middle has this signal-to-noise ratio.
  [[nodiscard]] double WattsAt(double snr) const {
    std::mt19937 random(7);
    return snr * Map(Noise(random)).near_sigma_w(kSize.height / 2, kSize.width / 2);
  }

  Plate plate;
  Stack stack;
  Drive drive;
  TemporalModel model;
  SlabFilm near;
  SlabFilm far;
};

inline const Bench& TheBench() {
  static const Bench bench;
  return bench;
}

struct Highest {
  double value = -1e30;
  cv::Point at;
};

// Highest value within a distance.
inline Highest HighestNear(const Image& map, Point center, double reach_px) {
  Highest best;
  for (int y = 0; y < map.rows; ++y) {
    for (int x = 0; x < map.cols; ++x) {
      if (std::hypot(x - center.x, y - center.y) > reach_px || !(map(y, x) > best.value)) continue;
      best = {map(y, x), {x, y}};
    }
  }
  return best;
}

// Into the test's XML report (--gtest_output=xml).
inline void Record(const char* name, double value) {
  ::testing::Test::RecordProperty(name, std::to_string(value));
}

}  // namespace ohmglow::testing
