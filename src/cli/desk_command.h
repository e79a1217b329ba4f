// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"

namespace ohmglow::cli {

[[nodiscard]] Command DeskCommand();

}  // namespace ohmglow::cli
