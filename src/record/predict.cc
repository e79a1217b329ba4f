// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/predict.h"

#include <memory>
#include <random>
#include <utility>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow::record {
namespace {

constexpr int kWidthPx = 64;
constexpr int kHeightPx = 48;
constexpr double kRoomK = 296;
constexpr double kTextureK = 0.5;

// A board that stays cold: edges for the registration, white noise.
std::vector<Image> ColdFilm(int frames, double noise_k) {
  std::mt19937 random(1);
  std::normal_distribution<float> noise(0, static_cast<float>(noise_k));
  std::bernoulli_distribution warm(0.3);
  Image still(kHeightPx, kWidthPx);
  for (int y = 0; y < kHeightPx; ++y) {
    for (int x = 0; x < kWidthPx; ++x) {
      const bool begins = x % 4 == 0 && y % 4 == 0;
      const bool rises = begins && warm(random);
      if (begins) still(y, x) = static_cast<float>(kRoomK + (rises ? kTextureK : 0));
      if (!begins) still(y, x) = still(y - y % 4, x - x % 4);
    }
  }
  std::vector<Image> film;
  for (int n = 0; n < frames; ++n) {
    Image frame = still.clone();
    for (float& value : frame) value += noise(random);
    film.push_back(std::move(frame));
  }
  return film;
}

}  // namespace

std::optional<double> LeastPower(const PatternOptions& pattern, const ExpectedCamera& camera) {
  const std::vector<PatternStep> steps = PlanSteps(pattern);
  Case job;
  const int frames = static_cast<int>(steps.back().end_s * camera.rate_hz);
  for (int n = 0; n < frames; ++n) job.frame_times_s.push_back(n / camera.rate_hz);
  job.frames = std::make_shared<MemoryFrames>(ColdFilm(frames, camera.noise_k));
  job.mm_per_pixel = camera.mm_per_pixel;
  SupplyLog log;
  constexpr double kRowS = 0.1;
  for (const PatternStep& step : steps) {
    for (double time_s = step.start_s + 1e-3; time_s < step.end_s; time_s += kRowS) {
      log.time_s.push_back(time_s);
      log.amps_a.push_back(step.amps_a);
      log.volts_v.push_back(step.amps_a);
    }
  }
  job.supply = std::move(log);
  job.clock_offset_s = 0;
  try {
    const LocateResult result = Locate(job, {});
    if (result.detectable_w > 0) return result.detectable_w;
  } catch (const Error&) {
  }
  return std::nullopt;
}

}  // namespace ohmglow::record
