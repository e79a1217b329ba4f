// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/check_command.h"

#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "cli/language.h"
#include "cli/open_case.h"
#include "cli/process.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/check/capture_check.h"
#include "ohmglow/input/file_notes.h"
#include "ohmglow/picture/capture_report.h"

namespace ohmglow::cli {
namespace {

ExitCode CodeFor(Usable usable) {
  switch (usable) {
    case Usable::kYes:
      return ExitCode::kDone;
    case Usable::kWithWarnings:
      return ExitCode::kWithWarnings;
    case Usable::kNo:
      break;
  }
  return ExitCode::kData;
}

// Of a folder, a log is named by an option: nobody needs to write a case file for that.
void AskByOptions(const std::string& place, const Case& job, CaptureCheck& check) {
  std::error_code code;
  const bool is_folder = std::filesystem::is_directory(place, code);
  if (!is_folder || job.supply || job.levels.size() > 1 || check.todo.empty()) return;
  check.todo.front() = {true, Remark(RemarkKind::kAskForLog), {}};
}

ExitCode RunCheck(const Arguments& arguments) {
  const std::string place = arguments.Places(1, "one case file or folder").front();
  const bool json = arguments.WantsJson();
  const Words& words = Words::Report(Language(arguments));
  const Settings settings = arguments.ReadSettings();
  SetThreads(settings.threads);
  const OpenedCase opened = OpenCase(place, ReadChoice(arguments));
  CaptureCheck check = CheckCapture(opened.job, {.locate = settings.locate});
  AskByOptions(place, opened.job, check);
  const std::vector<FileNote> files = DescribeFiles(opened.job, opened.files);
  std::cout << (json ? ToCaptureJson(check, files) : ToCaptureText(check, files, words));
  return CodeFor(check.usable);
}

}  // namespace

Command CheckCommand() {
  return {
      {.name = "check",
       .does = "say in a second what a capture is good for and what to do again",
       .usage = "  ohmglow check CASE.ini [--json -] [options]\n"
                "  ohmglow check FOLDER [--frames NAME] [--log NAME] [--photo FILE] ...\n",
       .about =
           "For the bench, while the board still lies there: what was understood of each file,\n"
           "frames, noise, how still the view is, levels and clock of the supply, the least\n"
           "power that would show, and what to do again and why. Large captures are looked at\n"
           "in every n-th frame. Writes nothing. Exit code 0: usable, 7: usable with\n"
           "warnings, 4: not usable.\n",
       .options = WithChoice({{"json", "-", "print the same as JSON"}, LanguageOption()}),
       .numbers = true},
      RunCheck};
}

}  // namespace ohmglow::cli
