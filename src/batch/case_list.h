// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::batch {

/// One case of a shelf.
struct CaseEntry {
  std::string name;            ///< Its folder below the output folder; see MakeDistinct().
  std::filesystem::path file;  ///< The case file.
};

/// What was found, in the natural order of the names (f2 before f10).
struct CaseList {
  std::vector<CaseEntry> cases;
  std::vector<std::string> problems;  ///< A line for each folder that cannot be read.
};

/// Every file `case.ini` in `root` and below. Links to folders are followed,
/// hidden folders and `skip` (the output folder) are not entered. A case is
/// named after its folder relative to `root`; one in `root` itself after `root`.
/// @throws InputError  where `root` is no folder or holds no case.
[[nodiscard]] CaseList FindCases(const std::filesystem::path& root,
                                 const std::filesystem::path& skip);

/// Cases from a list: a line is a case file or a folder with a `case.ini`;
/// empty lines are left out, so is a path that came before. A case is named
/// after its folder as listed, without "..", and where the file is not called
/// case.ini after the file as well. Whether the files exist is not asked.
/// @param text  the whole list.
/// @param name  of the list, for messages.
/// @throws InputError  where the list is empty.
[[nodiscard]] CaseList ReadCaseList(std::string_view text, const std::string& name);

/// A part of the list that several runs share out among them.
struct Shard {
  int number = 1;  ///< 1 .. count.
  int count = 1;
};

/// Whether the case of that name belongs to the shard: XXH3 (64 bits) of the
/// name modulo `count`, so it depends on nothing but the name.
[[nodiscard]] bool InShard(std::string_view name, const Shard& shard);

}  // namespace ohmglow::batch
