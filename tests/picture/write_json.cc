// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes one invented result.json to standard output for the schema test.
#include <cstdlib>
#include <iostream>
#include <string>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "relative_result.h"
#include "support/sample_result.h"

namespace {

// Every key that there is.
ohmglow::LocateResult Whole() {
  using namespace ohmglow;
  LocateResult result = testing::MakeSampleResult({1, Verdict::kFound});
  const Estimate estimate{0.02, 0.01, 0.04};
  result.plate = PlateFit{estimate, estimate, estimate};
  result.supply_path = SupplyPath{1.5, 0.31, 0.015, 0.125, 0.004};
  result.supply_remarks = {Remark(RemarkKind::kForeignLog)};
  result.maps.photo_lens = RadialLens{{700, 550}, 890, 0.01, -0.004};
  result.clock_offset_sigma_s = 0.1;
  result.most_volts_v = 1.5;
  result.currents_known = false;
  result.binning = 2;
  result.verdict_reason = Remark(RemarkKind::kSwitchingNotSeen);
  for (SupplyLevel& level : result.levels) level.start_sigma_s = 0.12;
  result.pictures = {{"photo", "board_photo.png", "K", 0.5, "What it shows."}};
  ScreeningReport& screening = result.alignment.screening;
  screening.lost_frames = 2;
  screening.noise = {0.05, 0.02, 0.01};
  screening.pixel_faults = cv::Mat_<unsigned char>(2, 2, static_cast<unsigned char>(1));
  screening.events.push_back({});
  screening.events.back().step_k = 0.4;
  screening.events.back().shape_k = 0.1;
  Candidate& place = result.candidates[0];
  place.far_prob = 0.2;
  place.resistance_ohm = place.drop_v = place.sheet_conductance_w_k = estimate;
  place.contact = "PC1";
  place.parts.at(0).side = HeatSide::kFar;
  place.remarks.push_back(Remark(RemarkKind::kPerhapsOnPart).With("part", "C7"));
  place.evidence = {{"stands out of the noise", 16.4, 2}};
  place.levels = {{1, 0.4, 0.01}, {2, 1.6, 0.02}};
  for (GrowthPoint& point : place.growth) {
    point.fit_k = point.rise_k;
    point.fit_sigma_k = 0.01;
  }
  place.other_side = SeenFromOtherSide{1, {20, 30}, 0.1, 0.02, 6, 0.7};
  result.other_side =
      OtherSide{"Bottom", "case.ini", Verdict::kNone, 2, 0.004, {Remark::Quoted("They differ.")}};
  return result;
}

}  // namespace

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
  } else if (kind == "whole") {
    std::cout << ohmglow::ToJson(Whole());
  } else if (kind == "relative") {
    ohmglow::LocateResult result = Whole();
    // Two sides are joined in kelvin only.
    result.other_side.reset();
    for (ohmglow::Candidate& place : result.candidates) place.other_side.reset();
    ohmglow::ToRelative(result);
    std::cout << ohmglow::ToJson(result);
  } else if (kind == "empty") {
    std::cout << ohmglow::ToJson(ohmglow::LocateResult{});
  } else {
    std::cerr << "usage: write_json full|sparse|whole|relative|empty\n";
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
