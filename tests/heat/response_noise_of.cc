// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The fitted response's noise over the least possible, on a capture without a
// fault: response_noise_of CASE.ini WHITE_K [SLOW_K]
// No test: it judges nothing.
#include <cstdio>
#include <cstdlib>
#include <initializer_list>
#include <string>

#include "analysis.h"
#include "heat/clock.h"
#include "heat/response_noise.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

int Main(const std::string& case_file, const testing::CameraNoise& camera) {
  const HeatOptions options;
  const Case job = LoadCase(case_file);
  const Alignment alignment = Align(*job.frames, {});
  Stack stack = BuildStack(*job.frames, job.frame_times_s, alignment, options);
  RemoveSensorPattern(stack, options);
  const Drive drive(*job.supply, job.clock_offset_s.value_or(0));
  for (const double lag_s : {0.5, 1.5, 4.0}) {
    for (const double rise : {1.0, 5.0, 20.0}) {
      const testing::ResponseNoise noise =
          testing::MeasureResponseNoise(stack, drive, PlateOf(job), options, camera, lag_s, rise);
      const double noise_k = noise.spread_k / noise.gain;
      std::printf(
          "lag %.1f s, rise %4.1f: gain %.2f, spread %.2f mK, over the design's %.2f; as noise "
          "over white with the course known %.2f, over true %.2f\n",
          lag_s,
          rise,
          noise.gain,
          1e3 * noise.spread_k,
          noise.spread_k / noise.design_k,
          noise_k / noise.white_k,
          noise_k / noise.true_k);
    }
  }
  return 0;
}

}  // namespace
}  // namespace ohmglow

int main(int argc, char** argv) {
  if (argc < 3) {
    std::fprintf(stderr, "usage: response_noise_of CASE.ini WHITE_K [SLOW_K]\n");
    return 2;
  }
  try {
    return ohmglow::Main(argv[1], {std::atof(argv[2]), argc > 3 ? std::atof(argv[3]) : 0, 8});
  } catch (const ohmglow::Error& error) {
    std::fprintf(stderr, "response_noise_of: %s\n", error.what());
    return 4;
  }
}
