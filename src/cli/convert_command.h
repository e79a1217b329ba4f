// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"

namespace ohmglow::cli {

/// `ohmglow convert`: writes a capture as a tidy case folder.
[[nodiscard]] Command ConvertCommand();

}  // namespace ohmglow::cli
