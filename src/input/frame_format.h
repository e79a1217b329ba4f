// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "count_pages.h"
#include "ini_file.h"

namespace ohmglow {

/// What a case file says of frames that do not say it themselves: frames.width_px,
/// height_px, offset_bytes, gap_bytes, type, member and crop.
/// @throws InputError  with file and line.
[[nodiscard]] FrameFormat ReadFrameFormat(const IniFile& ini);

}  // namespace ohmglow
