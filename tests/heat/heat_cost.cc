// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What each piece of stage heat costs: heat_cost CASE.ini [ROUNDS]
// Processor time of one thread, least of the rounds, from frames in memory
// that are already registered. No test: it judges nothing.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <map>
#include <opencv2/core.hpp>
#include <string>
#include <utility>
#include <vector>

#include "analysis.h"
#include "heat/clock.h"
#include "heat/plate.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

double NowMs() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

class Budget {
 public:
  template <typename Work>
  auto Time(const std::string& piece, const Work& work) {
    const double begin_ms = NowMs();
    auto result = work();
    Add(piece, NowMs() - begin_ms);
    return result;
  }

  void Print(int num_frames) const {
    double sum_ms = 0;
    for (const std::string& piece : order_) {
      std::printf("%-22s %8.1f ms\n", piece.c_str(), least_ms_.at(piece));
      sum_ms += least_ms_.at(piece);
    }
    std::printf("%-22s %8.1f ms, %.3f ms a frame\n", "all", sum_ms, sum_ms / num_frames);
  }

 private:
  void Add(const std::string& piece, double ms) {
    const auto [at, is_new] = least_ms_.emplace(piece, ms);
    if (is_new) order_.push_back(piece);
    at->second = std::min(at->second, ms);
  }

  std::vector<std::string> order_;
  std::map<std::string, double> least_ms_;
};

// As Analyze() does it.
void Run(const Case& job, FrameSource& frames, const Alignment& alignment, Budget& budget) {
  const HeatOptions options;
  const Plate plate = PlateOf(job);
  Stack stack = budget.Time(
      "BuildStack", [&] { return BuildStack(frames, job.frame_times_s, alignment, options); });
  budget.Time("RemoveSensorPattern", [&] { return RemoveSensorPattern(stack, options); });
  const TimedLog timed = budget.Time(
      "TimeLog", [&] { return TimeLog(stack, *job.supply, plate, job.mm_per_pixel, options); });
  const Drive drive(timed.log, timed.fit.offset_s);
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  Eigen::MatrixXf courses = budget.Time("PixelCourses", [&] { return PixelCourses(stack, model); });
  budget.Time("RemoveCommonOffset", [&] {
    RemoveCommonOffset(courses, model, drive, stack.seen);
    return 0;
  });
  const SourceCourses sources =
      budget.Time("MakeSourceCourses", [&] { return MakeSourceCourses(plate); });
  const Response response = budget.Time(
      "FitResponse", [&] { return FitResponse(courses, stack, drive, sources, options, model); });
  budget.Time("MakePowerMap",
              [&] { return MakePowerMap(response, model, drive, plate, job.mm_per_pixel, {}); });
}

int Main(const std::string& case_file, int rounds) {
  cv::setNumThreads(1);
  const Case job = LoadCase(case_file);
  std::vector<Image> read;
  for (int i = 0; i < job.frames->count(); ++i) {
    Image frame;
    job.frames->Read(i, frame);
    read.push_back(frame.clone());
  }
  MemoryFrames frames(std::move(read));
  const Alignment alignment = Align(frames, {});
  Budget budget;
  for (int i = 0; i < rounds; ++i) Run(job, frames, alignment, budget);
  std::printf("%d frames of %d x %d, least of %d rounds\n",
              frames.count(),
              frames.size_px().width,
              frames.size_px().height,
              rounds);
  budget.Print(frames.count());
  return 0;
}

}  // namespace
}  // namespace ohmglow

int main(int argc, char** argv) {
  if (argc < 2) {
    std::fprintf(stderr, "usage: heat_cost CASE.ini [ROUNDS]\n");
    return 2;
  }
  try {
    return ohmglow::Main(argv[1], argc > 2 ? std::max(1, std::atoi(argv[2])) : 5);
  } catch (const ohmglow::Error& error) {
    std::fprintf(stderr, "heat_cost: %s\n", error.what());
    return 4;
  }
}
