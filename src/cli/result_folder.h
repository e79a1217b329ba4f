// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

/// A kind of folder that the program writes. Nothing but its files is ever
/// removed from one.
struct FolderKind {
  /// All that may stand in it. The last is a JSON file that names the program:
  /// it is moved last, so where it stands, the others do.
  std::vector<std::string_view> names;
  [[nodiscard]] std::string_view index() const { return names.back(); }
};

/// What `locate` writes.
inline const FolderKind kLocateFolder{{"motion.csv",
                                       "overlay.png",
                                       "map.png",
                                       "response.tiff",
                                       "static.tiff",
                                       "power.png",
                                       "power.tiff",
                                       "limit.tiff",
                                       "board_photo.png",
                                       "growth.csv",
                                       "growth-1.png",
                                       "growth-2.png",
                                       "growth-3.png",
                                       "growth-4.png",
                                       "growth-5.png",
                                       "growth-6.png",
                                       "growth-7.png",
                                       "growth-8.png",
                                       "result.json"}};

/// One file of the result; `name` is one of the kind's.
struct ResultFile {
  std::string name;
  std::string bytes;
};

/// Says early what WriteResultFolder() would refuse.
/// @throws OutputError  where `folder` is a file, its parent is missing or not
///                      writable, or a file that is no result of ours stands
///                      under one of the names.
void CheckResultFolder(const std::filesystem::path& folder, const FolderKind& kind);

/// Puts all files into `folder`, or changes nothing. They are written to a new
/// folder beside it (<folder>.partial-<process>) that takes its place in one
/// step, also over an older result; other files in `folder` stay. Folders that
/// a killed run left beside it are cleared away.
/// @throws OutputError  as CheckResultFolder(), or where a file cannot be written.
void WriteResultFolder(const std::filesystem::path& folder,
                       const FolderKind& kind,
                       const std::vector<ResultFile>& files);

/// Removes what killed runs left beside `folder`, as writing does, for those
/// who find that nothing needs to be written. Never throws.
void ClearLeftovers(const std::filesystem::path& folder, const FolderKind& kind);

}  // namespace ohmglow::cli
