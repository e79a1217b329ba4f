// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/locate_command.h"

#include <iostream>

#include "cli/language.h"
#include "cli/located_case.h"
#include "cli/open_case.h"
#include "cli/process.h"
#include "cli/progress_line.h"
#include "cli/result_folder.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"

namespace ohmglow::cli {
namespace {

ExitCode RunLocate(const Arguments& arguments) {
  const LocateRequest request = ReadLocateRequest(arguments);
  SetThreads(request.settings.threads);
  // Before the long work: a folder that cannot be written should not cost it.
  if (!request.out.empty()) CheckResultFolder(request.out, kLocateFolder);
  LocatedCase located = [&] {
    const TerminalProgress progress("looking for heat");
    if (request.other_side.empty()) {
      return LocateCase(
          request.case_file, request.choice, request.settings.locate, progress.callback());
    }
    return LocateBothSides(
        request.case_file, request.other_side, request.settings.locate, progress.callback());
  }();
  const Words& words = Words::Report(request.language);
  if (!request.out.empty()) {
    WriteResultFolder(request.out, kLocateFolder, MakeLocateFiles(located, request.growth, words));
  }
  std::cout << (request.json_to_output ? ToJson(located.result) : ToSummary(located.result, words));
  return ExitCode::kDone;
}

}  // namespace

LocateRequest ReadLocateRequest(const Arguments& arguments) {
  LocateRequest request;
  request.case_file = arguments.Places(1, "one case file or folder").front();
  request.choice = ReadChoice(arguments);
  const OutputChoice output = arguments.Output();
  request.json_to_output = output.json_to_output;
  request.out = output.out;
  request.other_side = arguments.Text("other-side");
  request.growth = arguments.has("growth");
  if (request.growth && request.out.empty()) {
    throw OptionError("--growth writes files: give their folder with --out DIR");
  }
  request.language = Language(arguments);
  request.settings = arguments.ReadSettings();
  return request;
}

Command LocateCommand() {
  return {
      {.name = "locate",
       .does = "rank the places on the board that may be the short",
       .usage = "  ohmglow locate CASE.ini --out DIR [options]\n"
                "  ohmglow locate CASE.ini --json - [--out DIR] [options]\n"
                "  ohmglow locate FOLDER --out DIR [--frames NAME] [--log NAME] ...\n"
                "  ohmglow locate TOP.ini --other-side BOTTOM.ini --out DIR [options]\n",
       .about =
           "CASE.ini describes one capture: frames, the supply's log, what is known of the\n"
           "board. DIR gets result.json, motion.csv, pictures and maps, all of them or none; an\n"
           "older result there is replaced, other files there are left alone.\n"
           "Of a FOLDER, what its case file leaves out (or all, where there is none) is told from\n"
           "what lies there; see 'ohmglow help new'.\n"
           "With --other-side the result is TOP's, its places decided from both captures: the\n"
           "tables of points of both need board coordinates, all seen from the same side.\n",
       .options = WithChoice(
           {{"out", "DIR", "folder for the result; its parent must exist"},
            {"json", "-", "print result.json instead of the summary; --out may be left out"},
            {"other-side",
             "FILE",
             "case file of a capture of the board's other side: one decision from both"},
            {"growth",
             "",
             "add growth.csv and growth-1.png ... growth-8.png: how each place warmed"},
            LanguageOption()}),
       .numbers = true},
      RunLocate};
}

}  // namespace ohmglow::cli
