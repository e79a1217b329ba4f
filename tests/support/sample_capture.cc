// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/sample_capture.h"

namespace ohmglow::testing {

CaptureCheck MakeSampleCapture(Usable usable) {
  CaptureCheck check;
  check.title = "Tide-gauge readout board (invented)";
  check.case_file = "case.ini";
  check.assumed = {{"surface.emissivity", "0.93"}, {"board.side", "top"}};
  check.usable = usable;
  if (usable != Usable::kYes) {
    check.todo = {
        {usable == Usable::kNo,
         Remark::Quoted("Rest the camera on a stand."),
         Remark::Quoted("A frame may be off.")},
        {false, Remark::Quoted("End at zero."), Remark::Quoted("The current only rises here.")}};
  }
  check.num_frames = 300;
  check.num_looked_at = 150;
  check.size_px = {256, 192};
  check.rate_hz = 8;
  check.length_s = 37.4;
  check.lost_frames = 2;
  check.left_out = {{Remark::Quoted("the shutter was closed"), 7},
                    {Remark::Quoted("something covers a part of the view"), 3}};
  check.coldest_k = 294;
  check.hottest_k = 301.5;
  check.noise_k = 0.045;
  check.view = ViewCheck{RegistrationVerdict::kHolds, 0.05, 3.4, 2};
  check.levels = {{0, 6, 0, 0}, {6, 14, 1.5, 0.2}, {14, 20, 0, 0}};
  check.clock_offset_s = -1.23;
  check.clock_sigma_s = 0.1;
  check.top_amps_a = 1.5;
  check.mm_per_pixel = 0.4;
  check.place_error_mm = 0.3;
  check.has_parts = true;
  check.num_parts = 28;
  check.num_parts_seen = 27;
  check.parts_unseen = Remark::Quoted("C7");
  check.detectable_w = 0.0123;
  return check;
}

std::vector<FileNote> MakeSampleFiles() {
  const Clause frames{"file.frames",
                      Remark().With("count", 300).With("size", "256 x 192 px")};
  const Clause rows{"file.as_it_is", Remark().With("text", "120 rows in 39 s")};
  return {{"frames", "frames.tiff", {frames}},
          {"supply", "a log with quite a long name of its own, really.csv", {rows}}};
}

}  // namespace ohmglow::testing
