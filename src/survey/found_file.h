// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "survey/table_kind.h"

namespace ohmglow {

/// A file of a folder, by its path from there.
struct ListedFile {
  std::string name;  ///< "raw/f001.tiff".
  std::uintmax_t bytes = 0;
};

/// A file, or many that are alike.
struct FileGroup {
  std::string name;               ///< Of the file; of several their pattern, "raw/f#.tiff".
  std::vector<ListedFile> files;  ///< In natural order; at least one.
};

/// What the bytes of a group's files say.
struct FoundFile {
  enum class Kind {
    kUnknown,
    kUnreadable,  ///< Of a known kind, and damaged: `problem`.
    kGrey,        ///< Pictures of one channel: of values.
    kColour,      ///< Pictures of several channels.
    kFilm,
    kTable,
    kCaseFile
  };
  FileGroup group;
  Kind kind = Kind::kUnknown;
  int pages = 0;  ///< Of all its files; 0 where that is not known.
  cv::Size size_px;
  TableGuess table;
  std::string problem;
};

/// Why a line stands there that the user asked for (Setting::why).
inline constexpr std::string_view kAskedFor = "survey.asked_for";

/// All files of a folder that may be input, sorted. Left out: hidden ones, what
/// is no ordinary file, folders deeper than three, links that lead elsewhere,
/// and results of ours: a JSON that names the program, with `result_names` beside it.
/// @param set_aside  filled with the names of what was left out as a result.
/// @throws InputError  no such folder, or more than 200 000 files in it.
[[nodiscard]] std::vector<ListedFile> ListFolder(const std::filesystem::path& folder,
                                                 const std::vector<std::string>& result_names,
                                                 std::vector<std::string>& set_aside);

/// Puts together files that differ in nothing but numbers in their names, from 12 on.
[[nodiscard]] std::vector<FileGroup> GroupFiles(const std::vector<ListedFile>& files);

/// Looks into one group; reads headers and beginnings only.
[[nodiscard]] FoundFile Probe(const std::filesystem::path& folder, FileGroup group);

}  // namespace ohmglow
