// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/running_answer.h"

#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <algorithm>
#include <exception>
#include <utility>

#include "ohmglow/base/error.h"
#include "record/link.h"

namespace ohmglow::record {
namespace {

// Pixels that a look takes about a second for, on two cores.
constexpr double kMostPixels = 5e6;
constexpr int kNice = 10;

struct Stopped {};

}  // namespace

AnswerView ViewOf(const LocateResult& result) {
  AnswerView view;
  view.verdict = result.verdict == Verdict::kFound;
  if (result.candidates.empty()) return view;
  const Candidate& first = result.candidates.front();
  if (!first.parts.empty()) view.first = first.parts.front().ref;
  view.first_prob = first.confidence;
  view.frame_x = first.frame_px.x;
  view.frame_y = first.frame_px.y;
  return view;
}

Answer LookAt(const std::filesystem::path& case_file,
              const LocateOptions& options,
              FilmSoFar& film,
              const std::atomic<bool>& stop) {
  Answer answer;
  const double start_s = NowSeconds();
  try {
    const Case job = film.Read(case_file, kMostPixels);
    answer.frames = film.num_frames();
    answer.looked_at = job.frames->count();
    LocateOptions stoppable = options;
    stoppable.progress = [&](double) {
      if (stop) throw Stopped{};
    };
    answer.result = Locate(job, stoppable);
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
    Answer answer;
    // The analysis must never end the recorder.
    try {
      answer = look_(case_file, options_, film_, stop_);
    } catch (const std::exception& error) {
      answer.why_not = error.what();
    }
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
