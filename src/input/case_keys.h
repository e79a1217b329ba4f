// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// Every name that a case file may hold, "section.key" or "key".
[[nodiscard]] const std::vector<std::string>& CaseKeys();

/// Those whose value is a path.
inline constexpr std::array<std::string_view, 11> kCasePathKeys{"frames.source",
                                                               "frames.table",
                                                               "frames.times",
                                                               "frames.growing",
                                                               "supply.log",
                                                               "supply.steps",
                                                               "board.photo",
                                                               "board.points",
                                                               "board.parts",
                                                               "board.contacts",
                                                               "surface.regions"};

}  // namespace ohmglow
