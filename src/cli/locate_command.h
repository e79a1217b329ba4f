// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

#include "cli/command_line.h"
#include "ohmglow/input/survey.h"

namespace ohmglow::cli {

/// `ohmglow locate`, as asked for.
struct LocateRequest {
  std::filesystem::path case_file;   ///< Or a folder that is surveyed.
  SurveyChoice choice;               ///< What is said of that folder.
  std::filesystem::path out;         ///< Empty: no result folder.
  bool json_to_output = false;       ///< result.json on standard output instead of the summary.
  std::filesystem::path other_side;  ///< A capture of the other side; empty: none.
  bool growth = false;               ///< Plots of how each place warmed, and their table.
  std::string language = "en";       ///< Of the summary and the pictures.
  Settings settings;
};

/// @throws OptionError  one line.
[[nodiscard]] LocateRequest ReadLocateRequest(const Arguments& arguments);

/// Ranks the places of one case; prints the summary (or result.json).
[[nodiscard]] Command LocateCommand();

}  // namespace ohmglow::cli
