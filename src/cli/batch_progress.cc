// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_progress.h"

#include <unistd.h>

#include <cmath>
#include <iostream>

#include "picture/text.h"

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

std::string ProgressText(const BatchCounts& counts, double elapsed_s) {
  std::string text = std::to_string(counts.ended()) + " of " + std::to_string(counts.total) + ": " +
                     std::to_string(counts.computed) + " done, " + std::to_string(counts.failed) +
                     " failed, " + std::to_string(counts.unchanged) + " unchanged";
  const std::size_t left = counts.total - counts.ended();
  if (left == 0 || counts.worked_on == 0) return text;
  const double left_s =
      elapsed_s / static_cast<double>(counts.worked_on) * static_cast<double>(left);
  return text + "; about " + TimeLeft(left_s) + " left";
}

std::string CaseLine(const std::string& name, const CaseReport& report) {
  std::string line = internal::CleanText(name, kNameChars) + ": ";
  if (report.outcome == CaseOutcome::kUnchanged) line += "unchanged, skipped. ";
  if (report.outcome == CaseOutcome::kFailed) line += "FAILED: ";
  if (report.outcome == CaseOutcome::kFailedUnchanged) line += "FAILED, unchanged, skipped: ";
  if (report.outcome == CaseOutcome::kNotWritten) line += "NOT WRITTEN: ";
  return line + internal::CleanText(report.text, kTextChars);
}

BatchProgress::BatchProgress(std::size_t total)
    : rewrites_(isatty(STDERR_FILENO) != 0), lines_(!rewrites_ || isatty(STDOUT_FILENO) == 0) {
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
  if (lines_ || report.failed()) std::cout << CaseLine(name, report) << '\n' << std::flush;
  if (!rewrites_) return;
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start_;
  const std::string text = ProgressText(counts_, elapsed.count());
  std::cerr << text << std::flush;
  shown_ = text.size();
}

}  // namespace ohmglow::cli
