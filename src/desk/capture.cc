// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/capture.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

#include "desk/drawn_regions.h"
#include "desk/inside.h"
#include "desk/own_file.h"
#include "input/case_keys.h"
#include "input/ini_file.h"

namespace ohmglow::desk {

namespace fs = std::filesystem;

fs::path Place::Folder() const { return fs::is_directory(at) ? at : at.parent_path(); }

namespace {

// A step that a reader of ours follows before the files are known.
void RequireCaseInside(const Place& place, const fs::path& file) {
  std::error_code code;
  if (!fs::exists(fs::symlink_status(file, code))) return;
  RequireInside(place.root, {{"case", file.filename().string(), {file}, {}}});
}

// What the tables and the scale count, where frames are worked on smaller than their pages.
int ShrinkOf(const Case& job, const fs::path& case_file) {
  if (job.frames->values() == FrameValues::kKelvin) return 1;
  if (const Assumption* shrink = FindAssumed(job.assumed, "frames.shrink")) {
    return std::max(1, std::atoi(shrink->value.c_str()));
  }
  if (case_file.empty()) return 1;
  const auto entry = IniFile(case_file, CaseKeys()).Find("frames.shrink");
  return entry ? std::max(1, std::atoi(entry->value.c_str())) : 1;
}

Capture OpenOnce(const Place& place, const SurveyChoice& choice) {
  Capture out;
  out.place = place;
  const bool is_folder = fs::is_directory(place.at);
  RequireCaseInside(place, is_folder ? place.at / "case.ini" : place.at);
  // Where the files are is asked before any of them is read.
  if (is_folder) {
    out.survey = SurveyFolder(place.at, choice);
    if (!out.survey.case_file.empty()) RequireCaseInside(place, out.survey.case_file);
    out.files = ListSurveyedFiles(out.survey);
  } else {
    out.files = ListCaseFiles(place.at);
  }
  RequireInside(place.root, out.files);
  out.stamp = StampNow(out);
  out.points_version = VersionOf(BytesOf(TableOf(out, "board.points", "points.csv").file));
  out.contacts_version = VersionOf(BytesOf(TableOf(out, "board.contacts", "contacts.csv").file));
  out.parts_version = VersionOf(BytesOf(TableOf(out, "board.parts", "parts.csv").file));
  out.regions_version = VersionOf(BytesOf(TableOf(out, kRegionsKey, kRegionsFile).file));
  const OwnTable steps = TableOf(out, "supply.steps", "");
  out.levels_version = VersionOf(BytesOf(steps.named ? steps.file : CaseFileOf(place, out.survey)));
  out.job = is_folder ? LoadSurveyed(out.survey) : LoadCase(place.at);
  out.shrink = ShrinkOf(out.job, is_folder ? out.survey.case_file : place.at);
  return out;
}

}  // namespace

OwnTable TableOf(const Capture& capture, const std::string& key, const std::string& fallback) {
  for (const NamedFiles& named : capture.files) {
    if (named.key == key && named.files.size() == 1) return {named.files.front(), true};
  }
  return {capture.place.Folder() / fallback, false};
}

fs::path CaseFileOf(const Place& place, const FolderSurvey& survey) {
  if (!fs::is_directory(place.at)) return place.at;
  return survey.case_file.empty() ? place.at / "case.ini" : survey.case_file;
}

std::string StampNow(const Capture& capture) {
  std::vector<NamedFiles> watched = capture.files;
  for (const char* const name :
       {"case.ini", "points.csv", "contacts.csv", "parts.csv", kRegionsFile}) {
    watched.push_back({name, name, {capture.place.Folder() / name}, {}});
  }
  return StampOf(watched);
}

Capture OpenCapture(const Place& place, const SurveyChoice& choice) {
  // Another program may be writing: what was read must be of one moment.
  constexpr int kMostTries = 5;
  Capture out = OpenOnce(place, choice);
  for (int i = 1; i < kMostTries && StampNow(out) != out.stamp; ++i) out = OpenOnce(place, choice);
  return out;
}

std::string StampOf(const std::vector<NamedFiles>& files, std::string_view keys) {
  std::string stamp;
  for (const NamedFiles& named : files) {
    if (!named.key.starts_with(keys)) continue;
    for (const fs::path& file : named.files) {
      std::error_code code;
      const auto time = fs::last_write_time(file, code);
      stamp += file.string() + ' ' + std::to_string(fs::file_size(file, code)) + ' ' +
               std::to_string(time.time_since_epoch().count()) + '\n';
    }
  }
  return stamp;
}

}  // namespace ohmglow::desk
