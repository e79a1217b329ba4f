// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/running_answer.h"

#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

#include "check/thinned_frames.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "record/link.h"

namespace ohmglow::record {
namespace {

// Frames that a look takes about a second for, on two cores.
constexpr double kMostPixels = 5e6;
constexpr int kNice = 10;

struct Stopped {};

}  // namespace

std::string NameOfPlace(const Candidate& candidate) {
  if (!candidate.parts.empty()) return candidate.parts.front().ref;
  char text[64];
  const bool on_board = candidate.board_mm.has_value();
  const Point at = on_board ? *candidate.board_mm : candidate.frame_px;
  std::snprintf(text, sizeof text, on_board ? "%.1f, %.1f mm" : "pixel %.0f, %.0f", at.x, at.y);
  return text;
}

AnswerView ViewOf(const LocateResult& result) {
  AnswerView view;
  view.verdict = result.verdict == Verdict::kFound;
  if (result.candidates.empty()) return view;
  const Candidate& first = result.candidates.front();
  view.first = NameOfPlace(first);
  view.first_prob = first.confidence;
  view.frame_x = first.frame_px.x;
  view.frame_y = first.frame_px.y;
  return view;
}

Answer LookAt(const std::filesystem::path& case_file,
              const LocateOptions& options,
              double most_pixels,
              const std::atomic<bool>& stop) {
  Answer answer;
  const double start_s = NowSeconds();
  try {
    const Case job = LoadCase(case_file);
    answer.frames = job.frames->count();
    const double pixels = static_cast<double>(job.frames->size_px().area()) * answer.frames;
    const int step = std::max(1, static_cast<int>(std::ceil(pixels / most_pixels)));
    const Case some = internal::Thinned(job, step);
    answer.looked_at = some.frames->count();
    LocateOptions stoppable = options;
    stoppable.progress = [&](double) {
      if (stop) throw Stopped{};
    };
    answer.result = Locate(some, stoppable);
  } catch (const Stopped&) {
    answer.why_not = "stopped";
  } catch (const Error& error) {
    answer.why_not = error.what();  // Too few frames, no step of the current yet.
  }
  answer.took_s = NowSeconds() - start_s;
  return answer;
}

RunningAnswer::~RunningAnswer() {
  stop_ = true;
  if (thread_.joinable()) thread_.join();
}

void RunningAnswer::Start(const std::filesystem::path& case_file) {
  if (thread_.joinable()) thread_.join();
  busy_ = true;
  thread_ = std::thread([this, case_file] {
    // Linux keeps a thread's own; what it starts inherits it.
    ::setpriority(PRIO_PROCESS, static_cast<id_t>(::syscall(SYS_gettid)), kNice);
    Answer answer = LookAt(case_file, options_, kMostPixels, stop_);
    const std::lock_guard lock(mutex_);
    answer_ = std::move(answer);
    busy_ = false;
  });
}

std::optional<Answer> RunningAnswer::Take() {
  const std::lock_guard lock(mutex_);
  return std::exchange(answer_, std::nullopt);
}

}  // namespace ohmglow::record
