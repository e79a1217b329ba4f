// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/result.h"

namespace ohmglow {

/// What to do next, most useful first, and the cautions that apply to it.
[[nodiscard]] std::vector<std::string> Advise(const LocateResult& result);

}  // namespace ohmglow
