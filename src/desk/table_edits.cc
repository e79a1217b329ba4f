// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/table_edits.h"

#include "desk/case_text.h"
#include "desk/own_file.h"

namespace ohmglow::desk {

std::vector<Edit> EditsOf(const Capture& capture, const std::vector<TableChange>& changes) {
  std::vector<Edit> edits;
  // A folder without a case file finds its tables by itself.
  const auto case_file = CaseFileOf(capture.place, capture.survey);
  const auto before = BytesOf(case_file);
  std::string naming = before.value_or("");
  for (const TableChange& change : changes) {
    const OwnTable table = TableOf(capture, change.key, change.fallback);
    edits.push_back(
        {table.file, change.version, BytesOf(table.file).value_or(change.empty), change.text});
    if (!table.named && before) naming = WithKey(naming, change.key, change.fallback);
  }
  if (before && naming != *before) edits.push_back({case_file, VersionOf(before), *before, naming});
  return edits;
}

}  // namespace ohmglow::desk
