// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <functional>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

namespace ohmglow::desk {

/// The folder beside the cases that holds their contact sheet, as `batch` writes it.
inline constexpr const char* kContactSheet = "contact-sheet";

/// The case folders below a folder, in order; none where it holds a case itself, whatever lies in
/// it. Links are not followed.
[[nodiscard]] std::vector<std::filesystem::path> FindShelf(const std::filesystem::path& place);

/// A case's name on the shelf: its folder below the shelf's.
[[nodiscard]] std::string ShelfName(const std::filesystem::path& root,
                                    const std::filesystem::path& folder);

/// The same as `batch` writes it on the sheet and as its folder is called there: without the
/// characters that a file system might mistake.
[[nodiscard]] std::string SheetName(const std::filesystem::path& root,
                                    const std::filesystem::path& folder);

/// What the last contact sheet says of each case, by SheetName(): {status, title, verdict, first,
/// error, picture}; empty where there is none.
[[nodiscard]] nlohmann::json ReadContactSheet(const std::filesystem::path& root);

/// Works on all cases of a shelf, as a command of the program does.
struct ShelfWork {
  std::filesystem::path program;
  std::vector<std::string> arguments;  ///< Behind them come folder and list.
  /// Exit codes that are an answer.
  std::vector<int> good_codes;
};

/// Runs that work; the list of cases goes to its standard input. Cases that name files beside
/// the root are left out: they are told by the page when they are opened.
/// @param progress  told the share of the work; what it throws ends the work.
/// @throws OutputError  where it fails, with its own last words.
void MakeContactSheet(const ShelfWork& work,
                      const std::filesystem::path& root,
                      const std::vector<std::filesystem::path>& shelf,
                      const std::function<void(double)>& progress);

}  // namespace ohmglow::desk
