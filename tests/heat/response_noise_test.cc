// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/response_noise.h"

#include <gtest/gtest.h>

#include <random>

#include "support/scene.h"

namespace ohmglow::testing {
namespace {

const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};

// 40 s of 8 Hz, white noise, the current back at zero in the end: the map
// shows no more noise than its weights make of the camera's, and not much more
// than an estimate that knows the course of the heat.
TEST(ResponseNoise, IsNearTheLeastThatTheCameraAllows) {
  Stack stack = StillStack({96, 72}, 64, 5, 0.125);
  std::mt19937 random(1);
  const CameraNoise camera;
  AddNoise(random, camera.white_k, stack);
  const Drive drive(StepLog(kSteps, 40), 0);
  for (const double lag_s : {0.5, 1.5, 4.0}) {
    const ResponseNoise noise =
        MeasureResponseNoise(stack, drive, Plate{}, HeatOptions{}, camera, lag_s, 1);
    EXPECT_NEAR(noise.gain, 1, 0.1) << lag_s;
    EXPECT_LE(noise.spread_k, 1.15 * noise.design_k) << lag_s;
    EXPECT_LE(noise.spread_k / noise.gain, 1.5 * noise.white_k) << lag_s;
    EXPECT_GE(noise.spread_k / noise.gain, 0.95 * noise.white_k) << lag_s;  // Else it shrinks.
  }
}

}  // namespace
}  // namespace ohmglow::testing
