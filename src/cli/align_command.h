// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/command_line.h"
#include "cli/result_folder.h"

namespace ohmglow::cli {

/// What `align` writes.
inline const FolderKind kAlignFolder{
    {"motion.csv", "align.png", "residual.tiff", "static.tiff", "align.json"}};

/// `ohmglow align`: registers the frames as `locate` does and shows whether they
/// lie on each other; prints the summary (or align.json).
[[nodiscard]] Command AlignCommand();

}  // namespace ohmglow::cli
