// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/capture.h"

#include <utility>

#include "desk/inside.h"

namespace ohmglow::desk {

namespace fs = std::filesystem;

fs::path Place::Folder() const { return fs::is_directory(at) ? at : at.parent_path(); }

Capture OpenCapture(const Place& place, const SurveyChoice& choice) {
  Capture out;
  // Where the files are is asked before any of them is read.
  if (fs::is_directory(place.at)) {
    out.survey = SurveyFolder(place.at, choice);
    out.files = ListSurveyedFiles(out.survey);
    RequireInside(place.root, out.files);
    out.job = LoadSurveyed(out.survey);
    return out;
  }
  out.files = ListCaseFiles(place.at);
  RequireInside(place.root, out.files);
  out.job = LoadCase(place.at);
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
