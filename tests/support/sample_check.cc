// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/sample_check.h"

#include <cmath>
#include <limits>

#include "ohmglow/base/remark_kind.h"
#include "support/sample_result.h"

namespace ohmglow::testing {
namespace {

constexpr int kFrames = 60;

LineInTime MakeLine(bool is_row, int length) {
  LineInTime line;
  line.is_row = is_row;
  line.line = length / 3;
  line.before_k = Image(kFrames, length);
  line.after_k = Image(kFrames, length);
  for (int n = 0; n < kFrames; ++n) {
    line.frames.push_back(n);
    for (int i = 0; i < length; ++i) {
      line.before_k(n, i) =
          std::sin(0.4F * (static_cast<float>(i) + std::sin(0.3F * static_cast<float>(n))));
      line.after_k(n, i) = std::sin(0.4F * static_cast<float>(i));
    }
    line.after_k(n, 0) = std::numeric_limits<float>::quiet_NaN();
  }
  return line;
}

double ErrorFor(RegistrationVerdict verdict) {
  switch (verdict) {
    case RegistrationVerdict::kHolds:
      return 0.052;
    case RegistrationVerdict::kDoubtful:
      return 0.18;
    case RegistrationVerdict::kFails:
      return 0.74;
    case RegistrationVerdict::kNotTold:
      break;
  }
  return 25;
}

void AddTiles(RegistrationCheck& check) {
  const cv::Size size = check.static_k.size();
  for (int row = 0; row < 3; ++row) {
    for (int col = 0; col < 4; ++col) {
      LocalShift tile;
      tile.tile_px = {size.width * col / 4, size.height * row / 3, size.width / 4, size.height / 3};
      if (row + col != 5) tile.leftover_px = 0.03 + 0.02 * col + 0.01 * row;
      check.tiles.push_back(tile);
    }
  }
  check.leftover_px = 0.07;
  check.worst_leftover_px = 0.11;
}

}  // namespace

RegistrationCheck MakeSampleCheck(const SampleCheckOptions& options) {
  const LocateResult result = MakeSampleResult({});
  RegistrationCheck check;
  check.title = result.title;
  check.case_file = result.case_file;
  check.mm_per_pixel = result.mm_per_pixel;
  check.verdict = options.verdict;
  check.error_px = ErrorFor(options.verdict);
  check.large_error_px = 2 * check.error_px;
  check.static_k = Image(options.frame_px, 300.0F);
  check.residual_k = Image(options.frame_px, 0.03F);
  check.noise_k = 0.03;
  for (int y = 20; y < options.frame_px.height - 20; ++y) check.static_k(y, 30) = 304;
  if (options.tied) check.maps = result.maps;
  for (int n = 0; n < kFrames; ++n) {
    check.frame_times_s.push_back(0.125 * n);
    FrameState frame;
    frame.used = !options.with_left_out || (n % 20 != 7 && n != 30);
    if (!frame.used) {
      frame.reason =
          n == 30 ? Remark(RemarkKind::kFrameLost).With("correlation", 0.1).With("usual", 0.8)
                  : Remark(RemarkKind::kFrameRepeats).With("frame", n - 1);
    }
    frame.segment = n < 28 ? 0 : 1;
    frame.residual_px = check.error_px;
    check.alignment.frames.push_back(frame);
  }
  check.alignment.num_segments = 2;
  check.alignment.largest_shift_px = 1.7;
  check.alignment.noise_k = 0.045;
  check.row = MakeLine(true, options.frame_px.width);
  check.column = MakeLine(false, options.frame_px.height);
  AddTiles(check);
  return check;
}

}  // namespace ohmglow::testing
