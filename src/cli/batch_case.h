// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

#include "batch/case_list.h"
#include "batch/inputs.h"
#include "batch/job_pool.h"
#include "cli/option_table.h"

namespace ohmglow::cli {

/// What is the same for all cases of a batch.
struct BatchCaseOptions {
  std::filesystem::path out;  ///< Output folder, absolute.
  Settings settings;
  bool again = false;           ///< Also where nothing has changed.
  std::string language = "en";  ///< Of the answer and the pictures.
};

enum class CaseOutcome { kComputed, kUnchanged, kFailed, kFailedUnchanged, kNotWritten };

/// What became of a case, as its process reports it.
struct CaseReport {
  CaseOutcome outcome = CaseOutcome::kFailed;
  std::string text;  ///< The answer or the error, one line.

  [[nodiscard]] bool failed() const {
    return outcome != CaseOutcome::kComputed && outcome != CaseOutcome::kUnchanged;
  }
  [[nodiscard]] std::string Encode() const;
  [[nodiscard]] static CaseReport Decode(const std::string& text);  ///< @pre made by Encode().
};

/// Works on one case from beginning to end: skips it where its folder is up to
/// date, else locates and writes the folder, or error.json into it where the
/// case cannot be used. Changes the current folder to the case's own, so that
/// messages name its files as the case file does. Does not throw.
[[nodiscard]] CaseReport RunBatchCase(const batch::CaseEntry& entry,
                                      const BatchCaseOptions& options,
                                      const batch::MemoryGate& gate);

/// Records a case whose process broke off; it is tried anew by the next run.
/// @param what  for example "was killed (signal 9)".
[[nodiscard]] CaseReport RecordBrokenCase(const batch::CaseEntry& entry,
                                          const BatchCaseOptions& options,
                                          const std::string& what);

/// The options that change what comes out.
[[nodiscard]] batch::OptionValues OptionsThatMatter(const Settings& settings);

}  // namespace ohmglow::cli
