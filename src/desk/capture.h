// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/input/case_files.h"
#include "ohmglow/input/survey.h"

namespace ohmglow::desk {

/// Where a capture lies.
struct Place {
  std::filesystem::path root;  ///< Nothing beside it is read or written.
  std::filesystem::path at;    ///< A case file, or a folder that is surveyed.
  [[nodiscard]] std::filesystem::path Folder() const;
};

/// A case as it stands on the disk now, and the files it is read from.
struct Capture {
  Case job;
  std::vector<NamedFiles> files;
  FolderSurvey survey;  ///< Of a folder; empty where a case file was opened.
  Place place;
  /// Of its files and those that the page may begin, from before they were read.
  std::string stamp;
  /// Of the tables as read, see VersionOf(); of levels without a table the case file's.
  std::string points_version, contacts_version, parts_version, regions_version, levels_version;
  /// Points of the pages along one of the frames, of relative frames: tables count the pages'.
  int shrink = 1;
};

/// One of the tables that the page changes.
struct OwnTable {
  std::filesystem::path file;  ///< Whether or not it is there.
  bool named = false;          ///< Whether the case names it already.
};

/// @param key       "board.points"
/// @param fallback  what it is called where the case names none.
[[nodiscard]] OwnTable TableOf(const Capture& capture,
                               const std::string& key,
                               const std::string& fallback);

/// The case file, whether or not it is there.
[[nodiscard]] std::filesystem::path CaseFileOf(const Place& place, const FolderSurvey& survey);

/// @throws InputError  as LoadCase() and LoadSurveyed(), or where a file lies elsewhere.
[[nodiscard]] Capture OpenCapture(const Place& place, const SurveyChoice& choice);

/// StampOf() of what a capture was read from, as it is now.
[[nodiscard]] std::string StampNow(const Capture& capture);

/// A text that changes when any of these files does: names, sizes and times.
/// @param keys  only files whose key begins so; empty: all.
[[nodiscard]] std::string StampOf(const std::vector<NamedFiles>& files, std::string_view keys = {});

}  // namespace ohmglow::desk
