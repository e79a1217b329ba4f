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

/// A case as it stands on the disk now, and the files it is read from.
struct Capture {
  Case job;
  std::vector<NamedFiles> files;
  FolderSurvey survey;  ///< Of a folder; empty where a case file was opened.
};

/// Where a capture lies.
struct Place {
  std::filesystem::path root;  ///< Nothing beside it is read or written.
  std::filesystem::path at;    ///< A case file, or a folder that is surveyed.
  [[nodiscard]] std::filesystem::path Folder() const;
};

/// @throws InputError  as LoadCase() and LoadSurveyed(), or where a file lies elsewhere.
[[nodiscard]] Capture OpenCapture(const Place& place, const SurveyChoice& choice);

/// A text that changes when any of these files does: names, sizes and times.
/// @param keys  only files whose key begins so; empty: all.
[[nodiscard]] std::string StampOf(const std::vector<NamedFiles>& files, std::string_view keys = {});

}  // namespace ohmglow::desk
