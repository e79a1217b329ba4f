// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/align_command.h"

#include <iostream>
#include <string>
#include <vector>

#include "cli/language.h"
#include "cli/located_case.h"
#include "cli/map_tiff.h"
#include "cli/open_case.h"
#include "cli/process.h"
#include "cli/progress_line.h"
#include "ohmglow/base/error.h"
#include "ohmglow/check/registration_check.h"
#include "ohmglow/picture/check_report.h"
#include "ohmglow/picture/report.h"

namespace ohmglow::cli {
namespace {

/// What was looked at, and the photo to show it on.
struct CheckedCase {
  RegistrationCheck check;
  cv::Mat photo;
};

CheckedCase CheckCase(const std::string& case_file, LocateOptions options) {
  const Case job = OpenCase(case_file, LeavingOurResults()).job;
  const TerminalProgress progress("laying the frames on each other");
  options.progress = progress.callback();
  return {CheckRegistration(job, options), job.photo};
}

std::vector<ResultFile> MakeAlignFiles(const CheckedCase& checked, const Words& words) {
  const RegistrationCheck& check = checked.check;
  const std::string unit =
      check.values == FrameValues::kRelative ? "Unit: share of the scene's spread." : "Unit: K.";
  return {{"motion.csv", ToMotionCsv(check.alignment)},
          {"align.png", Encode(DrawCheck(check, checked.photo, words), "align.png")},
          {"residual.tiff", MapTiff(check.residual_k, unit, 0)},
          {"static.tiff", MapTiff(check.static_k, unit, 0)},
          {"align.json", ToCheckJson(check)}};
}

ExitCode RunAlign(const Arguments& arguments) {
  const std::string case_file = arguments.Places(1, "one case file").front();
  const OutputChoice output = arguments.Output();
  const Words& words = Words::Report(Language(arguments));
  const Settings settings = arguments.ReadSettings();
  SetThreads(settings.threads);
  // Before the long work: a folder that cannot be written should not cost it.
  if (!output.out.empty()) CheckResultFolder(output.out, kAlignFolder);
  const CheckedCase checked = CheckCase(case_file, settings.locate);
  if (!output.out.empty())
    WriteResultFolder(output.out, kAlignFolder, MakeAlignFiles(checked, words));
  std::cout << (output.json_to_output ? ToCheckJson(checked.check)
                                      : ToCheckSummary(checked.check, words));
  return ExitCode::kDone;
}

}  // namespace

Command AlignCommand() {
  return {
      {.name = "align",
       .does = "show whether the frames of a capture lie on each other",
       .usage = "  ohmglow align CASE.ini --out DIR [options]\n"
                "  ohmglow align CASE.ini --json - [--out DIR] [options]\n",
       .about =
           "Registers the frames as 'locate' does; the case needs no supply log. DIR gets\n"
           "align.png (look at this), align.json, motion.csv, residual.tiff and static.tiff, all\n"
           "of them or none; an older result there is replaced, other files are left alone.\n",
       .options = {{"out", "DIR", "folder for the result; its parent must exist"},
                   {"json", "-", "print align.json instead of the summary; --out may be left out"},
                   LanguageOption()},
       .numbers = true},
      RunAlign};
}

}  // namespace ohmglow::cli
