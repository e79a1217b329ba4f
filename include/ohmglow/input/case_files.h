// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace ohmglow {

/// What one line of a case file refers to.
struct NamedFiles {
  std::string key;                           ///< "frames.source"; "case" for the case file itself.
  std::string name;                          ///< As written there.
  std::vector<std::filesystem::path> files;  ///< Several for a folder or a pattern.
  std::string problem;                       ///< Why there are none; else empty.
};

/// All files that a case is read from: the case file, then what it names, in
/// the order of the keys in the documentation. Opens the case file only; the
/// others need not exist.
/// @throws InputError  where the case file is missing or malformed.
[[nodiscard]] std::vector<NamedFiles> ListCaseFiles(const std::filesystem::path& case_file);

}  // namespace ohmglow
