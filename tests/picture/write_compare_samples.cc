// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes invented comparisons as pictures and text into a folder, to be looked at.
#include <filesystem>
#include <fstream>
#include <iostream>
#include <opencv2/imgcodecs.hpp>
#include <string>

#include "ohmglow/picture/compare_report.h"
#include "support/sample_compare.h"

namespace {

using ohmglow::CompareResult;
using ohmglow::CompareVerdict;
using ohmglow::testing::SampleCompareOptions;

void Write(const std::filesystem::path& folder,
           const std::string& name,
           const CompareResult& result,
           const cv::Mat& photo) {
  cv::imwrite((folder / (name + ".png")).string(), ohmglow::DrawCompare(result, photo));
  std::ofstream(folder / (name + ".json")) << ohmglow::ToCompareJson(result);
  std::ofstream(folder / (name + ".txt")) << ohmglow::ToCompareSummary(result);
}

void WriteSample(const std::filesystem::path& folder,
                 const std::string& name,
                 const SampleCompareOptions& options) {
  Write(folder, name, MakeSampleCompare(options), MakeSampleComparePhoto(options));
}

void WriteNames(const std::filesystem::path& folder) {
  const SampleCompareOptions options{CompareVerdict::kNotRepaired};
  CompareResult result = MakeSampleCompare(options);
  result.before.title =
      std::string("Pegelmesser \u00C4u\u00DFere Schleuse \u05D1\u05D3\u05D9\u05E7\u05D4 ") +
      std::string(200, 'x');
  result.places[0].parts = {{"Kondensator-am-Eingang-links-unten-C41", 0.6}, {"C42", 0.3}};
  result.places[1].parts = {{"\u05E7\u05D1\u05DC 12", 0.6}};
  result.places[2].parts = {{"C\u001b[31m17\n\xff", 0.6}};
  Write(folder, "names", result, MakeSampleComparePhoto(options));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: write_compare_samples FOLDER\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const cv::Size landscape(1400, 1100);
  const cv::Size portrait(1100, 1400);
  using V = CompareVerdict;
  WriteSample(folder, "none", {V::kUndecided, 0, landscape, true, true, 0});
  WriteSample(folder, "repaired-1", {V::kRepaired, 1, landscape, true, true, 0});
  WriteSample(folder, "repaired-3-regions", {V::kRepaired, 3, landscape, true, true, 3});
  WriteSample(folder, "not-3-portrait", {V::kNotRepaired, 3, portrait, true, false, 0});
  WriteSample(folder, "new-10", {V::kNewPlace, 10, landscape, true, true, 0});
  WriteSample(folder, "new-10-portrait", {V::kNewPlace, 10, portrait, true, true, 20});
  WriteSample(folder, "undecided-3-no-photo", {V::kUndecided, 3, landscape, false, true, 0});
  WriteSample(folder, "wide-photo", {V::kRepaired, 3, {2400, 500}, true, true, 0});
  Write(folder, "regions-only", ohmglow::testing::MakeSampleRegions(4), {});
  WriteNames(folder);
  return 0;
}
