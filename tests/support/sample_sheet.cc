// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/sample_sheet.h"

#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

namespace ohmglow::testing {
namespace {

cv::Mat Logo() {
  cv::Mat logo(120, 240, CV_8UC3, cv::Scalar::all(255));
  cv::circle(logo, {60, 60}, 52, {110, 80, 20}, -1, cv::LINE_AA);
  cv::ellipse(logo, {60, 60}, {30, 30}, 0, 0, 180, {255, 255, 255}, 8, cv::LINE_AA);
  cv::rectangle(logo, {130, 50}, {225, 70}, {110, 80, 20}, -1);
  return logo;
}

}  // namespace

SheetContent MakeSampleSheet(const SampleOptions& options) {
  SheetContent content;
  content.result = MakeSampleResult(options);
  if (options.maps) content.photo = MakeSamplePhoto(options);
  content.notes =
      "Replaced the capacitor C41 by a new one of the same kind and cleaned the pads.\n"
      "Checked the 12 V rail: no short any more, 0.21 A at rest.";
  content.shop = {"Tidewater Board Repair (invented)",
                  "Harbour Lane 7, Port Example",
                  "0000 123 456",
                  "bench@example.org",
                  "www.example.org",
                  "0000",
                  Logo()};
  content.date = {2026, 11, 25};
  return content;
}

RepairCheck MakeSampleRepair(const LocateResult& before) {
  RepairCheck repair;
  repair.verdict = RepairVerdict::kRepaired;
  repair.prob = 0.97;
  repair.resistance = {0.21, 35, false};
  repair.before_k = before.response_k.clone();
  repair.outline_k = before.reference_k.clone();
  repair.after_k = before.response_k.clone();
  if (!before.candidates.empty()) {
    const Candidate& place = before.candidates.front();
    const double width_px = place.width_mm / before.mm_per_pixel;
    for (int y = 0; y < repair.after_k.rows; ++y) {
      for (int x = 0; x < repair.after_k.cols; ++x) {
        const double d2 = std::pow(x - place.frame_px.x, 2) + std::pow(y - place.frame_px.y, 2);
        repair.after_k(y, x) -=
            static_cast<float>(place.rise_k / (1 + 4 * d2 / (width_px * width_px)));
      }
    }
  }
  repair.after_k(cv::Rect(0, 0, repair.after_k.cols / 12, repair.after_k.rows)) =
      std::numeric_limits<float>::quiet_NaN();
  // Only shown where `only_regions` is set.
  repair.regions = {
      {"cooler of U2", RegionCheck::Numbers{41.23, 3.4}, RegionCheck::Numbers{38.9, 1.2}},
      {"left edge", RegionCheck::Numbers{30, 0.5}, RegionCheck::Numbers{30.2, 1.9}},
      {"corner", RegionCheck::Numbers{25, 0.5}, RegionCheck::Numbers{25.1, 0.53}},
      {"out of view", {}, {}}};
  for (const Candidate& candidate : before.candidates) {
    if (repair.places.size() < 3) repair.places.push_back({candidate.frame_px, false});
  }
  return repair;
}

}  // namespace ohmglow::testing
