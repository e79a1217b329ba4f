// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/convert_command.h"

#include <filesystem>
#include <iostream>
#include <string>

#include "cli/new_folder.h"
#include "cli/open_case.h"
#include "convert/kept_case.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

// Errors name the folder that was asked for, not the one it is written in first.
std::string Renamed(std::string text, const std::string& from, const std::string& to) {
  for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
  return text;
}

std::string StepText(const KeptCounts& counts, FrameValues values) {
  if (counts.original_steps) return "in the original's steps";
  if (values == FrameValues::kRelative || counts.curve) return "16 bits over their whole range";
  return std::to_string(counts.scale * 1000).substr(0, 5) + " mK a step";
}

void Print(const std::string& out, const Case& job, const KeptCounts& counts) {
  const cv::Size size = job.frames->size_px();
  std::cout << out << " is written: "
            << static_cast<std::size_t>(job.frames->count()) - counts.left_out.size()
            << " frames of " << size.width << " x " << size.height << " px, "
            << StepText(counts, job.frames->values()) << ".\n";
  if (!counts.left_out.empty()) {
    std::cout << counts.left_out.size()
              << " frames could not be read and are left out, with their times.\n";
  }
  std::cout << "Before you send it, look at photo and title, and at the comments in case.ini.\n";
}

ExitCode RunConvert(const Arguments& arguments) {
  const std::string place = arguments.Places(1, "one case file or folder").front();
  const std::string out = arguments.Needed("out", "the new case folder");
  NewFolder folder{fs::path(out)};
  const OpenedCase opened = OpenCase(place, ReadChoice(arguments));
  const std::string fresh = folder.Fresh().string();
  KeptCounts counts;
  try {
    counts = WriteKeptCase(
        opened.job, {.blank_surroundings = arguments.has("blank-surroundings")}, fresh);
  } catch (const OutputError& error) {
    throw OutputError(Renamed(error.what(), fresh, out));
  } catch (const DataError& error) {
    throw DataError(place + ": " + error.what());
  }
  folder.Place();
  Print(out, opened.job, counts);
  return ExitCode::kDone;
}

}  // namespace

Command ConvertCommand() {
  return {
      {.name = "convert",
       .does = "write a capture as a tidy case folder, for the archive or to send",
       .usage = "  ohmglow convert CASE.ini --out DIR [--blank-surroundings]\n"
                "  ohmglow convert FOLDER --out DIR [--frames NAME] [--log NAME] ...\n",
       .about =
           "Whatever the frames, log, parts list and photo were, DIR then holds one TIFF, plain\n"
           "tables, a PNG without metadata and a case.ini that says what each value is. The "
           "answer\n"
           "from it is the same. Never writes over a folder that has files in it.\n",
       .options = WithChoice({{"out", "DIR", "the new folder"},
                              {"blank-surroundings",
                               "",
                               "make the photo black outside the board; needs landmarks with "
                               "board places"}}),
       .numbers = false},
      RunConvert};
}

}  // namespace ohmglow::cli
