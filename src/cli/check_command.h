// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"

namespace ohmglow::cli {

/// `ohmglow check`: says in a second what a capture is good for and what to do
/// again, while the board still lies there.
[[nodiscard]] Command CheckCommand();

}  // namespace ohmglow::cli
