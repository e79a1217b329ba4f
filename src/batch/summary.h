// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "batch/case_list.h"
#include "batch/case_record.h"

namespace ohmglow::batch {

/// What part of a shelf a summary is about.
struct ShelfPart {
  Shard shard;
  std::size_t num_cases = 0;  ///< Of the whole shelf.
};

/// All that the files at the top of the output folder are made from.
struct Summary {
  std::vector<CaseRecord> records;  ///< Natural order of the names.
  std::optional<ShelfPart> part;    ///< Set for one shard of several.
};

/// How many records have the status.
[[nodiscard]] std::size_t CountOf(const Summary& summary, CaseStatus status);

/// summary.csv: a header and a row for each candidate; one row for a case
/// without any. Unknown numbers are empty.
[[nodiscard]] std::string ToSummaryCsv(const Summary& summary);

/// Its first line, without the end.
[[nodiscard]] std::string SummaryCsvHeader();

/// summary.json (schema 1).
[[nodiscard]] std::string ToSummaryJson(const Summary& summary);

/// What merging needs of a summary.json.
struct SummaryHead {
  std::vector<std::string> names;  ///< Of the cases; safe to be joined to a path.
  std::optional<ShelfPart> part;
};

/// @param name  of the file, for messages.
/// @throws InputError  where it is no summary of ohmglow, or a name is not safe.
[[nodiscard]] SummaryHead ReadSummaryHead(const std::string& text, const std::string& name);

}  // namespace ohmglow::batch
