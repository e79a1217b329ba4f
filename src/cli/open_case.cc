// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/open_case.h"

#include <utility>

#include "cli/align_command.h"
#include "cli/compare_command.h"
#include "cli/result_folder.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

bool SaysAnything(const SurveyChoice& choice) {
  return !choice.frames.empty() || !choice.log.empty() || !choice.photo.empty() ||
         !choice.parts.empty() || !choice.levels.empty();
}

}  // namespace

std::vector<TextOption> WithChoice(std::vector<TextOption> options) {
  for (const TextOption& option : {
           TextOption{"frames", "NAME", "of a folder: its frames, a file, folder or pattern"},
           TextOption{"log", "NAME", "of a folder: the supply's log"},
           TextOption{
               "levels", "AMPS", "of a folder without a log: currents in order, \"0 0.5 0\""},
           TextOption{"photo", "FILE", "of a folder: the photo of the side that was filmed"},
           TextOption{"parts", "FILE", "of a folder: the parts list"},
       }) {
    options.push_back(option);
  }
  return options;
}

SurveyChoice LeavingOurResults() {
  SurveyChoice choice;
  for (const FolderKind* kind : {&kLocateFolder, &kAlignFolder, &kCompareFolder}) {
    choice.result_names.insert(choice.result_names.end(), kind->names.begin(), kind->names.end());
  }
  return choice;
}

SurveyChoice ReadChoice(const Arguments& arguments) {
  SurveyChoice choice = LeavingOurResults();
  choice.frames = arguments.Text("frames");
  choice.log = arguments.Text("log");
  choice.photo = arguments.Text("photo");
  choice.parts = arguments.Text("parts");
  choice.levels = arguments.Text("levels");
  return choice;
}

OpenedCase OpenCase(const std::filesystem::path& place, const SurveyChoice& choice) {
  std::error_code code;
  if (std::filesystem::is_directory(place, code)) {
    const FolderSurvey survey = SurveyFolder(place, choice);
    return {LoadSurveyed(survey), ListSurveyedFiles(survey)};
  }
  if (SaysAnything(choice)) {
    throw OptionError(place.string() +
                      ": is no folder; of a case file, what is what stands in the file itself");
  }
  Case job = LoadCase(place);
  return {std::move(job), ListCaseFiles(place)};
}

}  // namespace ohmglow::cli
