// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "log_clock.h"

namespace ohmglow {

/// The times of a column of plain numbers: in the unit of its header or cells;
/// since 1970 in seconds or parts of them where they are as large; in days as
/// spreadsheets count (day 25569 is 1970-01-01, from memory); else in seconds
/// or, where a recording in seconds would last too long, in milliseconds.
/// @throws InputError  where seconds and milliseconds are both likely.
[[nodiscard]] LogClock ReadLogCount(const LooseTable& table,
                                    const LogChoice& choice,
                                    std::size_t column);

}  // namespace ohmglow
