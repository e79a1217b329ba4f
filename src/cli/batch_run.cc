// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_run.h"

#include <algorithm>
#include <cmath>
#include <csignal>
#include <cstring>
#include <iostream>
#include <iterator>
#include <thread>

#include "batch/job_pool.h"
#include "batch/memory.h"
#include "cli/batch_case.h"
#include "cli/batch_folder.h"
#include "cli/batch_progress.h"
#include "ohmglow/base/error.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::cli {
namespace {

// For the note at the start: a common size of thermal frames, with a photo.
const cv::Size kUsualFramePx(256, 192);
const cv::Size kUsualPhotoPx(1600, 1200);
constexpr std::size_t kNamedFailures = 3;

batch::CaseList FindAll(const BatchRequest& request) {
  if (request.list.empty()) return batch::FindCases(request.root, request.out);
  if (request.list != "-") return batch::ReadCaseList(ReadBytes(request.list), request.list);
  const std::string text((std::istreambuf_iterator<char>(std::cin)), {});
  return batch::ReadCaseList(text, "standard input");
}

std::string Bytes(double bytes, const Words& words) {
  return bytes < 1e10 ? internal::DigitsText(std::round(bytes / 1e6), 9, words) + " MB"
                      : internal::DigitsText(bytes / 1e9, 3, words) + " GB";
}

void SayWhatIsBegun(std::size_t num_cases,
                    int jobs,
                    const std::optional<double>& free_bytes,
                    const Words& words) {
  std::cout << words.Fill("batch.begun",
                          {{"cases", CasesText(num_cases, words)}, {"jobs", std::to_string(jobs)}});
  if (free_bytes) {
    std::cout << ' ' << words.Fill("batch.free", {{"memory", Bytes(*free_bytes, words)}});
  }
  const std::string size =
      std::to_string(kUsualFramePx.width) + " x " + std::to_string(kUsualFramePx.height);
  std::cout << '\n'
            << words.Fill(
                   "batch.memory",
                   {{"base", Bytes(batch::kJobBaseBytes, words)},
                    {"frame", internal::DigitsText(batch::kJobBytesPerFramePixel / 1000, 2, words)},
                    {"photo", internal::DigitsText(batch::kJobBytesPerPhotoPixel, 6, words)},
                    {"size", size},
                    {"usual", Bytes(batch::JobMemoryBytes(kUsualFramePx, kUsualPhotoPx), words)}})
            << std::endl;
}

std::string HowItEnded(const batch::JobEnd& end) {
  if (end.signal == SIGKILL) {
    return "its process was killed (signal 9), perhaps for want of memory; it is tried again next "
           "time, try --jobs 1";
  }
  if (end.signal != 0) {
    return "its process crashed (signal " + std::to_string(end.signal) +
           "); please report it; it is tried again next time";
  }
  return "its process ended without an answer; it is tried again next time";
}

[[noreturn]] void Stop(int signal,
                       const BatchFolder& folder,
                       const batch::CaseList& list,
                       const Words& words) {
  for (const auto& entry : list.cases) ClearLeftovers(folder.path() / entry.name, kBatchCaseFolder);
  std::cout << words.Get("batch.stopped") << std::endl;
  std::signal(signal, SIG_DFL);
  std::raise(signal);
  std::_Exit(128 + signal);
}

// Always from the folders, never from what this run remembers.
batch::Summary Summarise(const BatchFolder& folder, const batch::CaseList& list) {
  batch::Summary summary;
  for (const auto& entry : list.cases) {
    summary.records.push_back(batch::ReadRecord(folder.path(), entry.name));
  }
  return summary;
}

// What did not go well, and the exit code that says so.
class Troubles {
 public:
  void Add(const std::string& name, const CaseReport& report) {
    if (!report.failed()) return;
    if (report.outcome == CaseOutcome::kNotWritten && not_written_.empty()) {
      not_written_ = report.text;
    }
    if (++count_ <= kNamedFailures) names_ += (names_.empty() ? "" : ", ") + name;
  }

  [[nodiscard]] ExitCode Say(std::size_t total, std::size_t num_problems) const {
    if (!not_written_.empty()) throw OutputError(not_written_);
    if (count_ > 0) {
      std::cerr << "ohmglow: " << count_ << " of " << CasesText(total)
                << " failed: " << internal::CleanText(names_, 200)
                << (count_ > kNamedFailures ? ", ..." : "") << "; see the summary" << std::endl;
    }
    // Each was told before the cases were begun: by now out of sight.
    if (num_problems > 0) {
      std::cerr
          << "ohmglow: " << num_problems << (num_problems == 1 ? " folder was" : " folders were")
          << " left out, as said at the start; give each a case.ini, or name the cases in a list"
          << std::endl;
    }
    return count_ + num_problems > 0 ? ExitCode::kSomeFailed : ExitCode::kDone;
  }

 private:
  std::string names_;
  std::string not_written_;
  std::size_t count_ = 0;
};

// The cases of this shard.
batch::CaseList PartOf(const batch::CaseList& all, const batch::Shard& shard) {
  batch::CaseList part;
  std::copy_if(
      all.cases.begin(), all.cases.end(), std::back_inserter(part.cases), [&](const auto& entry) {
        return batch::InShard(entry.name, shard);
      });
  return part;
}

int NumJobs(const BatchRequest& request) {
  if (request.jobs > 0) return request.jobs;
  return static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
}

batch::PoolOptions PoolFor(const BatchRequest& request) {
  batch::PoolOptions pool;
  pool.jobs = NumJobs(request);
  pool.memory_bytes = batch::FreeMemoryBytes();
  if (request.memory_mb > 0) pool.memory_bytes = 1e6 * request.memory_mb;
  return pool;
}

// Runs all cases, telling of each. @return  the signal that stopped it, or 0.
int RunAll(const batch::CaseList& list,
           const batch::PoolOptions& pool,
           const BatchCaseOptions& options,
           BatchProgress& progress,
           Troubles& troubles) {
  const auto work = [&](std::size_t i, const batch::MemoryGate& gate) {
    return RunBatchCase(list.cases[i], options, gate).Encode();
  };
  const auto on_end = [&](const batch::JobEnd& end) {
    const batch::CaseEntry& entry = list.cases[end.index];
    const CaseReport report = end.report.empty() ? RecordBrokenCase(entry, options, HowItEnded(end))
                                                 : CaseReport::Decode(end.report);
    troubles.Add(entry.name, report);
    progress.Add(entry.name, report);
  };
  return batch::RunJobs(list.cases.size(), pool, work, on_end);
}

}  // namespace

ExitCode RunBatchCases(const BatchRequest& request) {
  const Words& words = Words::Report(request.language);
  const batch::CaseList all = FindAll(request);
  for (const std::string& problem : all.problems) {
    std::cerr << "ohmglow: " << internal::CleanText(problem, 300) << "; left out" << std::endl;
  }
  const batch::CaseList list = PartOf(all, request.shard);
  const BatchFolder folder(request.out);
  const std::size_t count = list.cases.size();
  const batch::PoolOptions pool = PoolFor(request);
  BatchCaseOptions options{folder.path(), request.settings, request.again, request.language};
  if (pool.jobs > 1 && options.settings.threads == 0) options.settings.threads = 1;
  SayWhatIsBegun(count, pool.jobs, pool.memory_bytes, words);

  folder.RemoveSummary();
  Troubles troubles;
  BatchProgress progress(count, words);
  const int signal = RunAll(list, pool, options, progress, troubles);
  progress.Wipe();
  if (signal != 0) Stop(signal, folder, list, words);

  batch::Summary summary = Summarise(folder, list);
  if (request.shard.count > 1) summary.part = {request.shard, all.cases.size()};
  folder.WriteSummary(summary, request.language);
  const BatchCounts& counts = progress.counts();
  std::cout << words.Fill("batch.end",
                          {{"cases", CasesText(count, words)},
                           {"done", std::to_string(counts.computed)},
                           {"failed", std::to_string(counts.failed)},
                           {"unchanged", std::to_string(counts.unchanged)},
                           {"file", (request.out / "index.html").string()}})
            << std::endl;
  return troubles.Say(count, all.problems.size());
}

}  // namespace ohmglow::cli
