// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/base/clause.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/case_files.h"

namespace ohmglow {

/// What was understood of one file of a case, or of one column of its log.
struct FileNote {
  /// "frames", "times", "supply", "photo", "points", "parts", "contacts", "regions"; "log": how the
  /// log is written; "column": one that is used.
  std::string role;
  std::string name;                ///< As the case file has it, or the column's header.
  std::vector<Clause> understood;  ///< "240 frames of 256 x 192 px, 8 a second", half a line.
};

/// What was understood of the files that a case was read from.
/// @param job    the loaded case.
/// @param files  of the same case, see ListCaseFiles().
[[nodiscard]] std::vector<FileNote> DescribeFiles(const Case& job,
                                                  const std::vector<NamedFiles>& files);

}  // namespace ohmglow
