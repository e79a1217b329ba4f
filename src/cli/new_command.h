// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"

namespace ohmglow::cli {

/// `ohmglow new`: writes a case file for what lies in a folder.
[[nodiscard]] Command NewCommand();

}  // namespace ohmglow::cli
