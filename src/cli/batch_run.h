// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/batch_command.h"
#include "cli/exit_code.h"

namespace ohmglow::cli {

/// Works on the cases of a shelf, several at a time, and writes the summary.
/// Where a signal stops it, the processes of the cases end, what they left
/// half done is cleared away, and the signal is raised again.
/// @throws Error
[[nodiscard]] ExitCode RunBatchCases(const BatchRequest& request);

}  // namespace ohmglow::cli
