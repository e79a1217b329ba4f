// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

#include "cli/command_line.h"
#include "cli/result_folder.h"

namespace ohmglow::cli {

/// What `compare` writes; the maps are left out where only regions are compared.
inline const FolderKind kCompareFolder{
    {"compare.png", "before.tiff", "after.tiff", "compare.json"}};

/// `ohmglow compare`, as asked for.
struct CompareRequest {
  std::filesystem::path before;        ///< Case file.
  std::filesystem::path after;         ///< Case file.
  std::filesystem::path out;           ///< Empty: no result folder.
  std::filesystem::path regions_file;  ///< Empty: no regions.
  bool json_to_output = false;         ///< compare.json on standard output instead of the summary.
  std::string language = "en";         ///< Of the summary and the picture.
  Settings settings;
};

/// @throws OptionError  one line.
[[nodiscard]] CompareRequest ReadCompareRequest(const Arguments& arguments);

/// Compares two captures of one board; prints the summary (or compare.json).
[[nodiscard]] Command CompareCommand();

}  // namespace ohmglow::cli
