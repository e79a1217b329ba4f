// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

/// The files of a result folder. Nothing else in it is ever removed.
/// result.json comes last: where it stands, the others do.
inline constexpr std::array<std::string_view, 4> kResultNames{
    "motion.csv", "overlay.png", "map.png", "result.json"};

/// One file of the result; `name` is one of kResultNames.
struct ResultFile {
  std::string name;
  std::string bytes;
};

/// Says early what WriteResultFolder() would refuse.
/// @throws OutputError  where `folder` is a file, its parent is missing or not
///                      writable, or a file that is no result of ours stands
///                      under one of kResultNames.
void CheckResultFolder(const std::filesystem::path& folder);

/// Puts all files into `folder`, or changes nothing. They are written to a new
/// folder beside it (<folder>.partial-<process>) that takes its place in one
/// step, also over an older result; other files in `folder` stay. Folders that
/// a killed run left beside it are cleared away.
/// @throws OutputError  as CheckResultFolder(), or where a file cannot be written.
void WriteResultFolder(const std::filesystem::path& folder, const std::vector<ResultFile>& files);

}  // namespace ohmglow::cli
