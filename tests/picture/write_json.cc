// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes one invented result.json to standard output for the schema test.
#include <cstdlib>
#include <iostream>
#include <string>

#include "ohmglow/picture/report.h"
#include "support/sample_result.h"

int main(int argc, char** argv) {
  const std::string kind = argc == 2 ? argv[1] : "";
  using ohmglow::Verdict;
  if (kind == "full") {
    std::cout << ohmglow::ToJson(ohmglow::testing::MakeSampleResult({8, Verdict::kSeveral}));
  } else if (kind == "sparse") {
    ohmglow::LocateResult result =
        ohmglow::testing::MakeSampleResult({1, Verdict::kFound, {1400, 1100}, false});
    result.candidates[0].current_exponent.reset();
    result.candidates[0].onset_s.reset();
    result.clock_offset_s.reset();
    std::cout << ohmglow::ToJson(result);
  } else if (kind == "empty") {
    std::cout << ohmglow::ToJson(ohmglow::LocateResult{});
  } else {
    std::cerr << "usage: write_json full|sparse|empty\n";
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
