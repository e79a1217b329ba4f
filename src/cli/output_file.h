// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

namespace ohmglow::cli {

/// @throws OutputError  always: "PATH: WHY".
[[noreturn]] void RefuseOutput(const std::filesystem::path& path, const std::string& why);

/// The same PNG with a note that ohmglow made it (tEXt chunk "Software"), by
/// which WriteOutputFile() knows it again.
/// @param png  a whole PNG file.
/// Source: Portable Network Graphics (W3C 2003), 5.3 and 11.3.4.3.
[[nodiscard]] std::string MarkedPng(const std::string& png);

/// Says early what WriteOutputFile() would refuse.
/// @throws OutputError  where the folder is missing or not writable, `file` is a
///         folder, or a file stands there that is no PDF or PNG of ohmglow.
void CheckOutputFile(const std::filesystem::path& file);

/// Writes a new file beside `file` and moves it there in one step: the old file
/// or the whole new one, nothing between.
/// @throws OutputError  as CheckOutputFile(), or where it cannot be written.
void WriteOutputFile(const std::filesystem::path& file, const std::string& bytes);

}  // namespace ohmglow::cli
