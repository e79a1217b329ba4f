// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

#include "ohmglow/result.h"

namespace ohmglow::batch {

enum class CaseStatus {
  kDone,
  kFailed,   ///< An error.json stands in the folder.
  kMissing,  ///< Not computed, or its folder cannot be read.
};

/// One case as its folder tells it.
struct CaseRecord {
  std::string name;
  CaseStatus status = CaseStatus::kMissing;
  LocateResult result;  ///< Where done; images are empty.
  std::string title;    ///< Of the case, also where it failed and the title is known.
  int error_code = 0;   ///< Exit code that `locate` would have had.
  std::string error;    ///< Why it failed or is missing, one line.
};

/// error.json, the record of a case that failed.
/// @param error_code  exit code that `locate` would have had.
[[nodiscard]] std::string ToErrorJson(const std::string& title,
                                      int error_code,
                                      const std::string& error);

/// Reads the folder of case `name` below `out` back. Never throws: what cannot
/// be read is missing, and says why.
[[nodiscard]] CaseRecord ReadRecord(const std::filesystem::path& out, const std::string& name);

}  // namespace ohmglow::batch
