// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "scale_guess.h"

#include <algorithm>
#include <cmath>

#include "input/case_remarks.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

// Watts go about with the square of the scale, and a guess of it may be wrong by so much.
constexpr double kGuessFactor = 1.5;

}  // namespace

double ScaleOf(const Case& job, const BoardMaps& maps, cv::Size frame_px) {
  const bool is_told = !FindAssumed(job.assumed, "board.mm_per_pixel");
  if (is_told || !maps.board_trust) return job.mm_per_pixel;
  const Point middle(0.5 * (frame_px.width - 1), 0.5 * (frame_px.height - 1));
  return std::sqrt(std::abs(cv::determinant(maps.board_from_frame->Jacobian(middle))));
}

void WidenWatts(double own_log, Candidate& candidate) {
  double& low_w = candidate.power_low_w;
  double& high_w = candidate.power_high_w;
  const double watts = candidate.power_w;
  if (!(low_w > 0 && watts >= low_w && high_w >= watts)) return;
  low_w = watts * std::exp(-std::hypot(std::log(watts / low_w), own_log));
  high_w = watts * std::exp(std::hypot(std::log(high_w / watts), own_log));
}

void DoubtScale(LocateResult& result) {
  for (Candidate& candidate : result.candidates) WidenWatts(2 * std::log(kGuessFactor), candidate);
}

Remark AskForScale(const LocateResult& result) {
  return Remark(result.values == FrameValues::kKelvin ? RemarkKind::kWattsByGuess
                                                      : RemarkKind::kScaleIsGuess)
      .With("mm_per_pixel", result.mm_per_pixel);
}

}  // namespace ohmglow
