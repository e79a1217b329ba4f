// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/batch_command.h"
#include "cli/exit_code.h"

namespace ohmglow::cli {

/// Copies the cases of the folders `request.merge` into `request.out`, where
/// they are not there already, and writes the summary that a single run over
/// all of them would have written.
/// @throws InputError  where a folder holds no summary, a part of the shelf is
///                     missing, or two folders hold different cases of one name.
/// @throws OutputError
[[nodiscard]] ExitCode MergeBatches(const BatchRequest& request);

}  // namespace ohmglow::cli
