// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "ohmglow/base/clause.h"
#include "ohmglow/input/assumption.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/case_files.h"

namespace ohmglow {

/// What the user says of a folder; paths as given on the command line, empty: not said.
struct SurveyChoice {
  std::filesystem::path frames;  ///< A file, a folder or a pattern.
  std::filesystem::path log;
  std::filesystem::path photo;
  std::filesystem::path parts;
  std::string levels;  ///< Currents in order, for a supply without a log.
  std::string unit;    ///< Of the frames' values: a word, or scale and zero as in a case file.
  /// Files that a program of ours wrote beside its result's JSON: never input.
  std::vector<std::string> result_names;
};

/// One line of a case file and why it is there.
struct Setting {
  std::string key;    ///< "frames.source"
  std::string value;  ///< As a case file in that folder has it.
  Clause why;         ///< Half a line, see SayClauses().
};

/// Several files that may stand for one key.
struct SurveyQuestion {
  std::string key;
  std::vector<std::string> candidates;  ///< Names in the folder; may be empty.
  std::string text;     ///< One line: names the candidates and the option that settles it.
  bool needed = false;  ///< Nothing can be done before it is answered.
  /// Lines that may answer it, each with what it would mean; none: the key alone.
  std::vector<Setting> answers = {};
};

/// What lies in a folder, as a case.
struct FolderSurvey {
  std::filesystem::path folder;
  std::filesystem::path case_file;        ///< The one that was there; empty where there is none.
  std::vector<Setting> settings;          ///< Beyond what `case_file` says.
  std::vector<SurveyQuestion> questions;  ///< Needed ones first.
  std::vector<Setting> set_aside;  ///< Files that are no input: name and why; most have no key.
};

/// Looks at what lies in a folder and tells files apart by what is in them:
/// frames, photo, supply log, levels, times, landmarks, parts, contacts. A case
/// file there keeps what it says. Results of ours and hidden files are left out;
/// folders in it are looked into, three deep.
/// @throws InputError  no such folder, or its case file is malformed.
[[nodiscard]] FolderSurvey SurveyFolder(const std::filesystem::path& folder,
                                        const SurveyChoice& choice = {});

/// Reads the case that a survey makes of a folder; each setting it adds is told
/// in Case::assumed.
/// @throws InputError  a needed question is open (its text), or as LoadCase().
[[nodiscard]] Case LoadSurveyed(const FolderSurvey& survey);

/// The files of that case, see ListCaseFiles().
[[nodiscard]] std::vector<NamedFiles> ListSurveyedFiles(const FolderSurvey& survey);

/// A case file with a comment above each line that says why it is there. Open
/// questions stand as comments.
/// @param assumed  of the case read from it (Case::assumed): stands as comments.
[[nodiscard]] std::string ToCaseFile(const FolderSurvey& survey,
                                     const std::vector<Assumption>& assumed = {});

}  // namespace ohmglow
