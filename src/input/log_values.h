// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "log_columns.h"
#include "loose_table.h"

namespace ohmglow {

/// Volts and amps of one row, or why it has none.
struct LogValues {
  double volts_v = 0;  ///< NaN where the log has no volts.
  double amps_a = 0;
  std::string problem;  ///< "row 7, column Strom: 'abc' is not ..."; empty for a good row.
};

/// Volts and amps of every row. Amps are watts over volts where the log has no
/// amps; set amps count only while the output is on.
/// @param guesses  gets what had to be taken for granted.
/// @throws InputError  watts without volts, or amps of a unit that cannot be told.
[[nodiscard]] std::vector<LogValues> ReadLogValues(const LooseTable& table,
                                                   const LogChoice& choice,
                                                   const LogOptions& options,
                                                   std::vector<std::string>& guesses);

}  // namespace ohmglow
