// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"

namespace ohmglow::cli {

/// `ohmglow why`: prints what speaks for one place of a result against another.
[[nodiscard]] Command WhyCommand();

}  // namespace ohmglow::cli
