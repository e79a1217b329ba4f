// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

#include "convert/kept_frames.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct KeepOptions {
  bool blank_surroundings = false;  ///< Of the board, in the photo.
};

/// Writes a case's files, case.ini last, into an empty folder: the case folder of
/// ohmglow-case(5), from which the case reads as it was. Reads it once to make sure.
/// @throws OutputError, DataError, InputError  see WriteKeptFrames(), WithoutSurroundings().
KeptCounts WriteKeptCase(const Case& job,
                         const KeepOptions& options,
                         const std::filesystem::path& folder);

/// The text of case.ini. Each line has a comment that says what it is and whether it was
/// given; what the program assumed stands as a comment alone, so that it stays assumed.
[[nodiscard]] std::string KeptCaseText(const Case& job, const KeptCounts& counts);

}  // namespace ohmglow
