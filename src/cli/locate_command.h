// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <iosfwd>

#include "cli/command_line.h"

namespace ohmglow::cli {

/// Reads the case, locates, writes the result folder, prints the summary (or
/// result.json) to `output`.
/// @param progress  called with the share of the work done; may be empty.
/// @throws Error  see Locate(), LoadCase(), WriteResultFolder().
void RunLocate(const LocateRequest& request,
               const std::function<void(double)>& progress,
               std::ostream& output);

}  // namespace ohmglow::cli
