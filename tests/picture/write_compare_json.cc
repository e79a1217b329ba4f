// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes one invented compare.json to standard output for the schema test.
#include <cstdlib>
#include <iostream>
#include <string>

#include "ohmglow/picture/compare_report.h"
#include "support/sample_compare.h"

int main(int argc, char** argv) {
  const std::string kind = argc == 2 ? argv[1] : "";
  using ohmglow::CompareVerdict;
  if (kind == "full") {
    std::cout << ohmglow::ToCompareJson(ohmglow::testing::MakeSampleCompare(
        {CompareVerdict::kNewPlace, 10, {1400, 1100}, true, true, 5}));
  } else if (kind == "sparse") {
    ohmglow::CompareResult result =
        ohmglow::testing::MakeSampleCompare({CompareVerdict::kUndecided, 2, {1400, 1100}, false});
    result.resistance = {};
    result.places[1].ratio.reset();
    std::cout << ohmglow::ToCompareJson(result);
  } else if (kind == "regions") {
    std::cout << ohmglow::ToCompareJson(ohmglow::testing::MakeSampleRegions(4));
  } else if (kind == "empty") {
    std::cout << ohmglow::ToCompareJson(ohmglow::CompareResult{});
  } else {
    std::cerr << "usage: write_compare_json full|sparse|regions|empty\n";
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
