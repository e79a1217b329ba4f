// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ini_file.h"
#include "log_columns.h"
#include "ohmglow/input/assumption.h"
#include "ohmglow/input/log_reading.h"

namespace ohmglow {

/// supply.columns, delimiter, decimal, rate_hz and volts of a case file.
/// @throws InputError  naming file, line and key of a value that is none.
[[nodiscard]] LogOptions ReadLogOptions(const IniFile& ini);

/// Lines for Case::assumed: what was guessed of a log, and which rows are lost.
[[nodiscard]] std::vector<Assumption> LogAssumptions(const LogReading& reading);

}  // namespace ohmglow
