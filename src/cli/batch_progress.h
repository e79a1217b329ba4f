// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <cstddef>
#include <string>

#include "cli/batch_case.h"
#include "ohmglow/words/words.h"

namespace ohmglow::cli {

/// How far a batch is.
struct BatchCounts {
  std::size_t total = 0;
  std::size_t computed = 0;   ///< Anew, with success.
  std::size_t unchanged = 0;  ///< Skipped, earlier with success.
  std::size_t failed = 0;     ///< Anew, earlier, or not written.
  std::size_t worked_on = 0;  ///< Not skipped; what the time left is told from.

  void Add(const CaseReport& report);
  [[nodiscard]] std::size_t ended() const { return computed + unchanged + failed; }
};

/// "1 case", "12 cases".
[[nodiscard]] std::string CasesText(std::size_t count, const Words& words = Words::Report());

/// "12 of 40: 8 done, 1 failed, 3 unchanged; about 2 min left".
/// @param elapsed_s  since the first case began.
[[nodiscard]] std::string ProgressText(const BatchCounts& counts,
                                       double elapsed_s,
                                       const Words& words = Words::Report());

/// "f2: Almost certainly the fault: C1. ..." with what is special before it.
[[nodiscard]] std::string CaseLine(const std::string& name,
                                   const CaseReport& report,
                                   const Words& words = Words::Report());

/// Tells the user: a line that rewrites itself on standard error where that is
/// a terminal; a plain line a case on standard output where one of the two is
/// not. Failed cases get their line in any case.
class BatchProgress {
 public:
  BatchProgress(std::size_t total, const Words& words);
  ~BatchProgress();
  BatchProgress(const BatchProgress&) = delete;
  BatchProgress& operator=(const BatchProgress&) = delete;

  void Add(const std::string& name, const CaseReport& report);
  /// Clears the line; the next Add() writes it anew.
  void Wipe();
  [[nodiscard]] const BatchCounts& counts() const { return counts_; }

 private:
  BatchCounts counts_;
  const Words& words_;
  bool rewrites_;
  bool lines_;
  std::size_t shown_ = 0;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

}  // namespace ohmglow::cli
