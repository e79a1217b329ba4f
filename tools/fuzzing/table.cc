// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Any table, before its columns have a meaning.
#include "attempt.h"
#include "input/log_columns.h"
#include "input/loose_table.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  return Attempt([&] {
    LooseOptions options;
    options.knows = KnowsLogHeader;
    const LooseTable table = ReadLooseTable(Text(data, size), kFile, options);
    (void)table.ColumnNames();
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
      for (std::size_t column = 0; column < table.columns(); ++column) {
        (void)table.Cell(row, column);
        (void)table.Where(row, column);
      }
    }
  });
}
