// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"

namespace ohmglow::cli {

/// `ohmglow record`: films a board and steps its supply.
[[nodiscard]] Command RecordCommand();

}  // namespace ohmglow::cli
