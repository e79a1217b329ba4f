// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/compare_command.h"

#include <iostream>

#include "cli/language.h"
#include "cli/located_case.h"
#include "cli/open_case.h"
#include "cli/process.h"
#include "cli/progress_line.h"
#include "ohmglow/base/error.h"
#include "ohmglow/compare/compare.h"
#include "ohmglow/input/regions.h"
#include "ohmglow/picture/compare_report.h"

namespace ohmglow::cli {
namespace {

/// What was compared, and the photo to show it on.
struct ComparedCases {
  CompareResult result;
  cv::Mat photo;
};

ComparedCases CompareCases(const CompareRequest& request) {
  // The small file first: a slip in it should not cost the reading of the others.
  std::vector<Region> regions;
  if (!request.regions_file.empty()) regions = LoadRegions(request.regions_file);
  const Case before = OpenCase(request.before, LeavingOurResults()).job;
  const Case after = OpenCase(request.after, LeavingOurResults()).job;
  CompareOptions options;
  options.locate = request.settings.locate;
  const TerminalProgress progress("comparing");
  options.locate.progress = progress.callback();
  return {Compare(before, after, regions, options), before.photo};
}

std::vector<ResultFile> MakeCompareFiles(const ComparedCases& compared, const Words& words) {
  const CompareResult& result = compared.result;
  std::vector<ResultFile> files{
      {"compare.png", Encode(DrawCompare(result, compared.photo, words), "compare.png")}};
  if (!result.before_k.empty()) {
    files.push_back({"before.tiff", Encode(result.before_k, "before.tiff")});
    files.push_back({"after.tiff", Encode(result.after_k, "after.tiff")});
  }
  files.push_back({"compare.json", ToCompareJson(result)});
  return files;
}

ExitCode RunCompare(const Arguments& arguments) {
  const CompareRequest request = ReadCompareRequest(arguments);
  SetThreads(request.settings.threads);
  // Before the long work: a folder that cannot be written should not cost it.
  if (!request.out.empty()) CheckResultFolder(request.out, kCompareFolder);
  const ComparedCases compared = CompareCases(request);
  const Words& words = Words::Report(request.language);
  if (!request.out.empty()) {
    WriteResultFolder(request.out, kCompareFolder, MakeCompareFiles(compared, words));
  }
  std::cout << (request.json_to_output ? ToCompareJson(compared.result)
                                       : ToCompareSummary(compared.result, words));
  return ExitCode::kDone;
}

}  // namespace

CompareRequest ReadCompareRequest(const Arguments& arguments) {
  CompareRequest request;
  const auto& cases = arguments.Places(2, "two case files or folders, BEFORE and AFTER");
  request.before = cases[0];
  request.after = cases[1];
  request.regions_file = arguments.Text("regions");
  const OutputChoice output = arguments.Output();
  request.json_to_output = output.json_to_output;
  request.out = output.out;
  request.language = Language(arguments);
  request.settings = arguments.ReadSettings();
  return request;
}

Command CompareCommand() {
  return {
      {.name = "compare",
       .does = "tell from two captures of a board whether it is repaired",
       .usage = "  ohmglow compare BEFORE.ini AFTER.ini --out DIR [options]\n"
                "  ohmglow compare BEFORE.ini AFTER.ini --json - [--out DIR] [options]\n"
                "  ohmglow compare FOLDER FOLDER --out DIR [options]\n",
       .about =
           "Two captures of the same side of one board, before and after the work; the camera\n"
           "may have been moved between them. DIR gets compare.json, compare.png and the two\n"
           "maps, all of them or none; an older result there is replaced, other files there are\n"
           "left alone. A table of regions has the columns name, x_mm, y_mm (of the middle, on\n"
           "the board), width_mm, height_mm; cases without a supply log need one. Of a FOLDER, "
           "what\n"
           "its case file leaves out is told from what lies there, as by 'ohmglow locate'.\n",
       .options =
           {{"out", "DIR", "folder for the result; its parent must exist"},
            {"json", "-", "print compare.json instead of the summary; --out may be left out"},
            {"regions", "FILE", "regions.csv: rectangles whose temperatures are compared as well"},
            LanguageOption()},
       .numbers = true},
      RunCompare};
}

}  // namespace ohmglow::cli
