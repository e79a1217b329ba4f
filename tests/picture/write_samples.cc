// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes invented results as pictures and text into a folder, to be looked at.
#include <filesystem>
#include <fstream>
#include <iostream>
#include <opencv2/imgcodecs.hpp>
#include <string>

#include "ohmglow/picture/pictures.h"
#include "ohmglow/picture/report.h"
#include "support/sample_result.h"

namespace {

using ohmglow::LocateResult;
using ohmglow::Verdict;
using ohmglow::testing::SampleOptions;

void Write(const std::filesystem::path& folder,
           const std::string& name,
           const LocateResult& result,
           const cv::Mat& photo) {
  cv::imwrite((folder / (name + "-overlay.png")).string(), ohmglow::DrawOverlay(result, photo));
  cv::imwrite((folder / (name + "-map.png")).string(),
              ohmglow::DrawMap(result, {{{50, 20}, "PC1"}, {{20, 100}, "PC2"}}));
  std::ofstream(folder / (name + ".json")) << ohmglow::ToJson(result);
  std::ofstream(folder / (name + ".txt")) << ohmglow::ToSummary(result);
}

void WriteSample(const std::filesystem::path& folder,
                 const std::string& name,
                 const SampleOptions& options) {
  Write(folder, name, MakeSampleResult(options), MakeSamplePhoto(options));
}

void WriteNames(const std::filesystem::path& folder) {
  SampleOptions options;
  LocateResult result = MakeSampleResult(options);
  result.title =
      std::string("Pegelmesser \u00C4u\u00DFere Schleuse \u05D1\u05D3\u05D9\u05E7\u05D4 ") +
      std::string(200, 'x');
  result.candidates[0].parts = {{"Kondensator-am-Eingang-links-unten-C41", 0.6}, {"C42", 0.3}};
  result.candidates[1].parts = {{"\u05E7\u05D1\u05DC 12", 0.6}};
  result.candidates[2].parts = {{"C\u0000\u001b[31m17\n\xff", 0.6}};
  Write(folder, "names", result, MakeSamplePhoto(options));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: write_samples FOLDER\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const cv::Size landscape(1400, 1100);
  const cv::Size portrait(1100, 1400);
  WriteSample(folder, "none-0", {0, Verdict::kNone, landscape, true, false});
  WriteSample(folder, "none-3", {3, Verdict::kNone, landscape, true, false});
  WriteSample(folder, "found-1", {1, Verdict::kFound, landscape, true, false});
  WriteSample(folder, "found-3", {3, Verdict::kFound, landscape, true, false});
  WriteSample(folder, "found-8", {8, Verdict::kFound, landscape, true, false});
  WriteSample(folder, "portrait-3", {3, Verdict::kFound, portrait, true, false});
  WriteSample(folder, "portrait-8", {8, Verdict::kSeveral, portrait, true, false});
  WriteSample(folder, "pair-8", {8, Verdict::kSeveral, landscape, true, true});
  WriteSample(folder, "pair-2", {2, Verdict::kSeveral, landscape, true, true});
  WriteSample(folder, "frame-3", {3, Verdict::kFound, landscape, false, false});
  WriteSample(folder, "tiny-3", {3, Verdict::kFound, {96, 72}, true, false});
  WriteNames(folder);
  return 0;
}
