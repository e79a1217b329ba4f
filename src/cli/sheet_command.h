// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

#include "cli/command_line.h"
#include "ohmglow/sheet/sheet.h"

namespace ohmglow::cli {

/// `ohmglow sheet`, as asked for.
struct SheetRequest {
  std::filesystem::path result_folder;
  std::filesystem::path pdf;  ///< Empty: none is wanted.
  std::filesystem::path png;  ///< Empty: none is wanted.
  std::filesystem::path compare_folder;
  std::filesystem::path notes_file;
  std::filesystem::path shop_file;
  std::filesystem::path words_file;  ///< Empty: `language`.
  std::string language;
  SheetDate date;
  int dots_per_inch = 150;  ///< Of the PNG.
  Paper paper = Paper::kA4;
  TemperatureUnit unit = TemperatureUnit::kCelsius;
};

/// @param today  the date where none is given.
/// @throws OptionError  one line.
[[nodiscard]] SheetRequest ReadSheetRequest(const Arguments& arguments, SheetDate today);

/// Makes the customer's page of a result folder.
[[nodiscard]] Command SheetCommand();

}  // namespace ohmglow::cli
