// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes invented pages as PDF and PNG into a folder, to be looked at.
#include <filesystem>
#include <fstream>
#include <iostream>
#include <opencv2/imgcodecs.hpp>
#include <string>

#include "support/sample_sheet.h"

namespace {

using ohmglow::SheetContent;
using ohmglow::Verdict;
using ohmglow::testing::MakeSampleRepair;
using ohmglow::testing::MakeSampleSheet;

const cv::Size kLandscape(1400, 1100);
const cv::Size kPortrait(1100, 1400);

std::string Jpeg(const cv::Mat& bgr) {
  std::vector<unsigned char> bytes;
  cv::imencode(".jpg", bgr, bytes, {cv::IMWRITE_JPEG_QUALITY, 85});
  return {bytes.begin(), bytes.end()};
}

void Write(const std::filesystem::path& folder, const std::string& name, SheetContent content) {
  content.encode_jpeg = Jpeg;
  std::ofstream(folder / (name + ".pdf"), std::ios::binary) << ohmglow::DrawSheetPdf(content);
  cv::imwrite((folder / (name + ".png")).string(), ohmglow::DrawSheetPicture(content, 80));
}

void WriteCounts(const std::filesystem::path& folder) {
  for (const int num : {1, 3, 10}) {
    const Verdict verdict = num == 10 ? Verdict::kSeveral : Verdict::kFound;
    SheetContent content = MakeSampleSheet({num, verdict, kLandscape});
    if (num == 10) {
      for (auto& candidate : content.result.candidates) candidate.confidence = 0.6;
    }
    Write(folder, "places-" + std::to_string(num), content);
    content.result.title.clear();
    content.notes.clear();
    content.repair = MakeSampleRepair(content.result);
    Write(folder, "repair-" + std::to_string(num), content);
    content.repair->verdict = ohmglow::RepairVerdict::kUndecided;
    Write(folder, "undecided-" + std::to_string(num), content);
    content.repair->only_regions = true;
    Write(folder, "regions-" + std::to_string(num), content);
  }
  Write(folder, "none", MakeSampleSheet({3, Verdict::kNone, kLandscape}));
  Write(folder, "several", MakeSampleSheet({2, Verdict::kSeveral, kLandscape}));
}

void WriteShapes(const std::filesystem::path& folder) {
  SheetContent portrait = MakeSampleSheet({3, Verdict::kFound, kPortrait});
  Write(folder, "portrait", portrait);
  portrait.repair = MakeSampleRepair(portrait.result);
  Write(folder, "portrait-repair", portrait);
  Write(folder, "no-photo", MakeSampleSheet({3, Verdict::kFound, kLandscape, false}));
  SheetContent bare = MakeSampleSheet({1, Verdict::kFound, kLandscape, false});
  bare.result.reference_k.release();
  bare.result.response_k.release();
  bare.shop = {};
  Write(folder, "no-pictures", bare);
  SheetContent strip = MakeSampleSheet({3, Verdict::kFound, {3000, 120}});
  Write(folder, "strip", strip);
}

void WriteTexts(const std::filesystem::path& folder) {
  SheetContent content = MakeSampleSheet({3, Verdict::kFound, kLandscape});
  content.words = ohmglow::Words::BuiltIn("de");
  content.paper = ohmglow::Paper::kLetter;
  content.unit = ohmglow::TemperatureUnit::kFahrenheit;
  content.shop.address = "Harbour Lane 7, 20457 Example Town, Exampleland";
  content.repair = MakeSampleRepair(content.result);
  Write(folder, "german-letter-repair", content);
  content.repair->only_regions = true;
  Write(folder, "german-letter-regions", content);
  SheetContent odd = MakeSampleSheet({3, Verdict::kSeveral, kLandscape});
  odd.result.title = "Pegelmesser \u00C4u\u00DFere Schleuse, <b>12 V</b> " + std::string(400, 'x');
  odd.result.candidates[0].parts = {{"\u05E7\u05D1\u05DC 12", 0.6}};
  odd.result.candidates[1].parts = {{"Kondensator-am-Eingang-links-unten-C41-und-weiter", 0.6}};
  odd.shop.name = "\u05E9\u05DC\u05D5\u05DD \u05EA\u05D9\u05E7\u05D5\u05DF";
  odd.shop.address = std::string(300, 'W');
  for (int i = 0; i < 40; ++i)
    odd.notes.append("\n").append(std::to_string(i)).append(" Caf\u00E9 na\u00EFve, done");
  Write(folder, "odd-texts", odd);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: write_samples FOLDER\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  WriteCounts(folder);
  WriteShapes(folder);
  WriteTexts(folder);
  return 0;
}
