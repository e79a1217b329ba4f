// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/open_case.h"

#include <algorithm>
#include <fstream>
#include <string>
#include <utility>

#include "cli/align_command.h"
#include "cli/compare_command.h"
#include "cli/result_folder.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

// The first option that was given, and its key in a case file; nothing where none was.
std::string RefusedChoice(const SurveyChoice& choice) {
  const auto refuse = [](const char* option, const char* key) {
    return std::string(option) + " works with a folder; here change '" + key +
           " = ...' in the case file";
  };
  if (!choice.frames.empty()) return refuse("--frames", "source");
  if (!choice.log.empty()) return refuse("--log", "log");
  if (!choice.levels.empty()) return refuse("--levels", "levels");
  if (!choice.unit.empty()) return refuse("--unit", "unit");
  if (!choice.photo.empty()) return refuse("--photo", "photo");
  if (!choice.parts.empty()) return refuse("--parts", "parts");
  return {};
}

// Whether a line begins with [, as a section of a case file does.
bool HasSection(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t first = text.find_first_not_of(" \t\r\n", at);
    if (first == std::string_view::npos) return false;
    if (text[first] == '[') return true;
    at = std::min(text.find('\n', first), text.size());
  }
  return false;
}

// Frames, a log or a list in place of the folder they lie in. What is called .ini is taken for a
// case file, so that the line is told which spoils it.
void RefuseOtherFiles(const std::filesystem::path& place) {
  constexpr std::size_t kMostBytes = std::size_t{64} << 10U;
  std::ifstream stream(place, std::ios::binary);
  std::string bytes(kMostBytes, '\0');
  stream.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  bytes.resize(static_cast<std::size_t>(stream.gcount()));
  const bool wide = bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF");
  const bool is_text = wide || bytes.find('\0') == std::string::npos;
  if (is_text && (bytes.empty() || place.extension() == ".ini" || HasSection(bytes))) return;
  const std::filesystem::path folder = place.parent_path();
  throw InputError(place.string() + ": is no case file; give the folder it lies in, " +
                   (folder.empty() ? std::string(".") : folder.string()));
}

}  // namespace

std::vector<TextOption> WithChoice(std::vector<TextOption> options) {
  for (const TextOption& option : {
           TextOption{"frames", "NAME", "of a folder: its frames, a file, folder or pattern"},
           TextOption{"log", "NAME", "of a folder: the supply's log"},
           TextOption{
               "levels", "AMPS", "of a folder without a log: currents in order, \"0 0.5 0\""},
           TextOption{"unit",
                      "UNIT",
                      "of a folder: kelvin, celsius, fahrenheit, relative or \"0.01 273.15\""},
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
  choice.unit = arguments.Text("unit");
  return choice;
}

OpenedCase OpenCase(const std::filesystem::path& place, const SurveyChoice& choice) {
  std::error_code code;
  if (std::filesystem::is_directory(place, code)) {
    const FolderSurvey survey = SurveyFolder(place, choice);
    return {LoadSurveyed(survey), ListSurveyedFiles(survey)};
  }
  RefuseOtherFiles(place);
  const std::string refused = RefusedChoice(choice);
  if (!refused.empty() && !std::filesystem::exists(place, code)) {
    throw InputError(place.string() + ": no such folder; check the path");
  }
  if (!refused.empty()) throw OptionError(place.string() + ": " + refused);
  Case job = LoadCase(place);
  return {std::move(job), ListCaseFiles(place)};
}

}  // namespace ohmglow::cli
