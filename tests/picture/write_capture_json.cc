// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes one invented check.json to standard output for the schema test.
#include <cstdlib>
#include <iostream>
#include <string>

#include "ohmglow/picture/capture_report.h"
#include "support/sample_capture.h"

int main(int argc, char** argv) {
  using ohmglow::testing::MakeSampleCapture;
  const std::string kind = argc == 2 ? argv[1] : "";
  if (kind == "full") {
    std::cout << ohmglow::ToCaptureJson(MakeSampleCapture(ohmglow::Usable::kWithWarnings),
                                        ohmglow::testing::MakeSampleFiles());
  } else if (kind == "empty") {
    std::cout << ohmglow::ToCaptureJson(ohmglow::CaptureCheck{}, {});
  } else {
    std::cerr << "usage: write_capture_json full|empty\n";
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
