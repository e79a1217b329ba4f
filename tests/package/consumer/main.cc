// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
//
// Uses both installed libraries: each call below must link and behave.
#include <iostream>
#include <memory>
#include <string_view>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "ohmglow/picture/pictures.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/version.h"

namespace {

// A case without frames on disk: the library must say what it lacks.
bool SaysWhatIsMissing() {
  ohmglow::Case job;
  job.frames = std::make_shared<ohmglow::MemoryFrames>(
      std::vector<ohmglow::Image>(3, ohmglow::Image(48, 64, 300.0F)));
  job.frame_times_s = {0, 0.125, 0.25};
  try {
    return ohmglow::ToJson(ohmglow::Locate(job, {})).empty();
  } catch (const ohmglow::DataError& error) {
    return std::string_view(error.what()).size() > 10;
  }
}

bool NamesTheMissingFile() {
  try {
    (void)ohmglow::LoadCase("no-such-case.ini");
    return false;
  } catch (const ohmglow::InputError& error) {
    return std::string_view(error.what()).find("no-such-case.ini") != std::string_view::npos;
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2 || std::string_view(argv[1]) != OHMGLOW_VERSION) {
    std::cerr << "the installed headers are of version " OHMGLOW_VERSION "\n";
    return 1;
  }
  if (!SaysWhatIsMissing()) {
    std::cerr << "a case without a supply log was not refused with a reason\n";
    return 1;
  }
  if (!NamesTheMissingFile()) {
    std::cerr << "a missing case file was not named\n";
    return 1;
  }
  return 0;
}
