// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace ohmglow::record {

/// A file that a board's description names, and what it is called in the new folder.
struct NamedCopy {
  std::filesystem::path from;
  std::string to;
};

/// A case file that knows the board but no film: what it says of the frames' source and
/// times, and of the supply, is left out; what the counts mean stays.
struct BoardText {
  std::string text;  ///< Without a film; paths are names in the new folder.
  std::vector<NamedCopy> copies;
};

/// @throws InputError  where the file is missing, is malformed, or names a file that is
///         not there.
[[nodiscard]] BoardText ReadBoardText(const std::filesystem::path& file);

}  // namespace ohmglow::record
