// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_progress.h"

#include <unistd.h>

#include <cmath>
#include <iostream>

#include "words/shown_text.h"

namespace ohmglow::cli {
namespace {

constexpr std::size_t kNameChars = 60;
constexpr std::size_t kTextChars = 300;

std::string TimeLeft(double seconds) {
  const auto whole = [](double value) { return std::to_string(static_cast<long>(value)); };
  if (seconds < 90) return whole(std::ceil(seconds)) + " s";
  if (seconds < 90 * 60) return whole(std::round(seconds / 60)) + " min";
  return whole(std::round(seconds / 3600)) + " h";
}

}  // namespace

void BatchCounts::Add(const CaseReport& report) {
  switch (report.outcome) {
    case CaseOutcome::kComputed:
      ++computed;
      break;
    case CaseOutcome::kUnchanged:
      ++unchanged;
      break;
    case CaseOutcome::kFailed:
    case CaseOutcome::kFailedUnchanged:
    case CaseOutcome::kNotWritten:
      ++failed;
      break;
  }
  const bool skipped =
      report.outcome == CaseOutcome::kUnchanged || report.outcome == CaseOutcome::kFailedUnchanged;
  if (!skipped) ++worked_on;
}

std::string CasesText(std::size_t count, const Words& words) {
  if (count == 1) return words.Get("batch.cases_one");
  return words.Fill("batch.cases", {{"count", std::to_string(count)}});
}

std::string ProgressText(const BatchCounts& counts, double elapsed_s, const Words& words) {
  std::string text = words.Fill("batch.progress",
                                {{"ended", std::to_string(counts.ended())},
                                 {"total", std::to_string(counts.total)},
                                 {"done", std::to_string(counts.computed)},
                                 {"failed", std::to_string(counts.failed)},
                                 {"unchanged", std::to_string(counts.unchanged)}});
  const std::size_t left = counts.total - counts.ended();
  if (left == 0 || counts.worked_on == 0) return text;
  const double left_s =
      elapsed_s / static_cast<double>(counts.worked_on) * static_cast<double>(left);
  return words.Fill("batch.left", {{"start", text}, {"time", TimeLeft(left_s)}});
}

std::string CaseLine(const std::string& name, const CaseReport& report, const Words& words) {
  const std::string line = internal::CleanText(name, kNameChars) + ": ";
  const Words::Values said{{"text", internal::CleanText(report.text, kTextChars)}};
  switch (report.outcome) {
    case CaseOutcome::kComputed:
      break;
    case CaseOutcome::kUnchanged:
      return line + words.Get("batch.unchanged") + " " + said.front().second;
    case CaseOutcome::kFailed:
      return line + words.Fill("batch.failed", said);
    case CaseOutcome::kFailedUnchanged:
      return line + words.Fill("batch.failed_unchanged", said);
    case CaseOutcome::kNotWritten:
      return line + words.Fill("batch.not_written", said);
  }
  return line + said.front().second;
}

BatchProgress::BatchProgress(std::size_t total, const Words& words)
    : words_(words),
      rewrites_(isatty(STDERR_FILENO) != 0),
      lines_(!rewrites_ || isatty(STDOUT_FILENO) == 0) {
  counts_.total = total;
}

BatchProgress::~BatchProgress() { Wipe(); }

void BatchProgress::Wipe() {
  if (shown_ > 0) std::cerr << '\r' << std::string(shown_, ' ') << '\r' << std::flush;
  shown_ = 0;
}

void BatchProgress::Add(const std::string& name, const CaseReport& report) {
  counts_.Add(report);
  Wipe();
  if (lines_ || report.failed()) {
    std::cout << CaseLine(name, report, words_) << '\n' << std::flush;
  }
  if (!rewrites_) return;
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start_;
  const std::string text = ProgressText(counts_, elapsed.count(), words_);
  std::cerr << text << std::flush;
  shown_ = static_cast<std::size_t>(internal::NumColumns(text));
}

}  // namespace ohmglow::cli
