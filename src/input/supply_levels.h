// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string_view>
#include <vector>

#include "ini_file.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Levels written in a case file: currents [A] in order, with blanks or commas
/// between them, each perhaps with the second at which it was set:
/// "0 0.5 0", "0@0 0.5@6 0@12".
/// @param where  begins the message of an error.
/// @throws InputError  no number, one with a unit or a decimal comma, more than
///         100 A, fewer than two, no change, times that run backwards.
[[nodiscard]] std::vector<SetLevel> ParseLevels(std::string_view text,
                                                double within_s,
                                                const std::string& where);

/// The same from a table time_s,amps[,within_s]; a cell of time_s or within_s may be empty.
[[nodiscard]] std::vector<SetLevel> ReadLevels(const std::filesystem::path& file,
                                               double within_s,
                                               std::string_view named_by);

}  // namespace ohmglow
