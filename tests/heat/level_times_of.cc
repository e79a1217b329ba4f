// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// When the levels of a capture are found to begin: level_times_of CASE.ini ...
// One line a step: case, step, time, standard error, whether it is seen; and the
// evidence and processor time of the case. Where a case has no levels, the steps
// that its frames show: times and currents. No test: it judges nothing.
#include <cstdio>
#include <ctime>
#include <exception>
#include <string>

#include "analysis.h"
#include "heat/level_times.h"
#include "heat/plate.h"
#include "heat/step_discovery.h"
#include "ohmglow/input/case.h"

namespace {

double Since(std::clock_t begin) {
  return static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
}

void ShowFound(const ohmglow::Case& job, const ohmglow::Stack& stack) {
  const std::clock_t begin = std::clock();
  const ohmglow::DiscoveredSteps found =
      ohmglow::DiscoverSteps(stack, ohmglow::PlateOf(job), job.mm_per_pixel);
  for (const ohmglow::SetLevel& level : found.levels) {
    std::printf("%.3f@%.2f ", level.amps_a, level.start_s.value_or(0));
  }
  std::printf("%s evidence %.1f found %d cpu_s %.2f\n",
              job.title.c_str(),
              found.evidence,
              found.certain ? 1 : 0,
              Since(begin));
}

void Show(const std::string& file) {
  const ohmglow::Case job = ohmglow::LoadCase(file);
  const ohmglow::Registered registered = ohmglow::Register(job, {}, [](double) {});
  if (job.levels.empty()) return ShowFound(job, registered.stack);
  const std::clock_t begin = std::clock();
  const ohmglow::LevelTimes times = ohmglow::TimeLevels(
      registered.stack, job.levels, ohmglow::PlateOf(job), job.mm_per_pixel, {});
  const double used_s = Since(begin);
  for (std::size_t k = 0; k < times.starts.size(); ++k) {
    const ohmglow::LevelStart& start = times.starts[k];
    std::printf("%s step %zu %.3f %.3f %d\n",
                job.title.c_str(),
                k,
                start.time_s,
                start.sigma_s,
                start.seen ? 1 : 0);
  }
  std::printf("%s evidence %.1f found %d cpu_s %.2f\n",
              job.title.c_str(),
              times.evidence,
              times.found() ? 1 : 0,
              used_s);
}

}  // namespace

int main(int argc, char** argv) {
  try {
    for (int i = 1; i < argc; ++i) Show(argv[i]);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
  return 0;
}
