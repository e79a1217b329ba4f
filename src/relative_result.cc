// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "relative_result.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "ohmglow/base/remark_kind.h"
#include "rank/verdict_rules.h"

namespace ohmglow {
namespace {

// From this share of the frames on, a place counts as clipped.
constexpr double kClippedShare = 0.1;
// What is left of the confidence in it: a judgement, not measured.
constexpr double kClippedTrust = 0.85;
constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

// What stands for 1.
double LargestRise(const LocateResult& result) {
  double largest = 0;
  for (const Candidate& candidate : result.candidates) {
    if (std::isfinite(candidate.rise_k)) largest = std::max(largest, candidate.rise_k);
  }
  if (largest > 0) return largest;
  for (const float rise : result.response_k) {
    if (std::isfinite(rise)) largest = std::max(largest, static_cast<double>(rise));
  }
  return largest > 0 ? largest : 1;
}

void Scale(double factor, Candidate& place) {
  place.rise_k *= factor;
  for (double* watts : {&place.power_w, &place.power_low_w, &place.power_high_w}) {
    *watts = kUnknown;
  }
  place.share_of_supply.reset();
  place.resistance_ohm.reset();
  place.drop_v.reset();
  place.sheet_conductance_w_k.reset();
  for (GrowthPoint& point : place.growth) {
    point.rise_k *= factor;
    point.heat_k_mm2 *= factor;
    if (point.fit_k) *point.fit_k *= factor;
    if (point.fit_sigma_k) *point.fit_sigma_k *= factor;
  }
  for (LevelRise& level : place.levels) {
    level.rise_k *= factor;
    level.sigma_k *= factor;
  }
}

// The same without kelvin.
RemarkKind RelativeKind(RemarkKind kind) {
  if (kind == RemarkKind::kCoveredWarmer) return RemarkKind::kCoveredWarmerRelative;
  if (kind == RemarkKind::kCoveredColder) return RemarkKind::kCoveredColderRelative;
  return kind == RemarkKind::kThenStepped ? RemarkKind::kThenSteppedRelative : kind;
}

// What an event says of kelvin.
void TakeOutKelvin(Remark& remark) {
  remark.kind = RelativeKind(remark.kind);
  std::erase_if(remark.values, [](const RemarkValue& value) { return value.name.ends_with("_k"); });
  for (RemarkValue& value : remark.values) {
    for (Remark& said : value.said) TakeOutKelvin(said);
  }
}

void TakeOutKelvin(ScreeningEvent& event) {
  event.step_k = 0;
  event.shape_k = 0;
  TakeOutKelvin(event.what);
}

}  // namespace

void DoubtClipped(const Image& clipped_share, LocateResult& result) {
  if (clipped_share.empty()) return;
  for (Candidate& candidate : result.candidates) {
    const cv::Point at(cvRound(candidate.Peak().x), cvRound(candidate.Peak().y));
    const cv::Rect around =
        cv::Rect(at - cv::Point(1, 1), cv::Size(3, 3)) & cv::Rect({0, 0}, clipped_share.size());
    if (around.empty()) continue;
    double share = 0;
    cv::minMaxLoc(clipped_share(around), nullptr, &share);
    if (share < kClippedShare) continue;
    candidate.confidence *= kClippedTrust;
    candidate.remarks.emplace_back(RemarkKind::kClipped);
  }
  // What was doubted before stays so.
  if (result.verdict != Verdict::kNone) result.verdict = VerdictOn(result.candidates);
}

Case WithoutVolts(const Case& job) {
  Case out = job;
  out.most_volts_v.reset();
  if (out.supply) std::fill(out.supply->volts_v.begin(), out.supply->volts_v.end(), kUnknown);
  return out;
}

void ToRelative(double factor, Alignment& alignment) {
  FrameNoise& noise = alignment.screening.noise;
  for (double* part : {&noise.white_k, &noise.column_k, &noise.row_k}) *part *= factor;
  alignment.noise_k *= factor;
  for (ScreeningEvent& event : alignment.screening.events) TakeOutKelvin(event);
  for (ExcludedFrame& excluded : alignment.screening.excluded) TakeOutKelvin(excluded.why);
  for (FrameState& frame : alignment.frames) TakeOutKelvin(frame.reason);
}

void ToRelative(LocateResult& result) {
  const double factor = 1 / LargestRise(result);
  result.values = FrameValues::kRelative;
  for (Candidate& candidate : result.candidates) Scale(factor, candidate);
  result.noise_per_frame_k *= factor;
  result.noise_response_k *= factor;
  if (!result.response_k.empty()) result.response_k = Image(result.response_k * factor);
  if (!result.reference_k.empty()) result.reference_k = Image(result.reference_k * factor);
  ToRelative(factor, result.alignment);
  result.supply_path.reset();
  result.plate.reset();
  result.detectable_w = 0;
  result.power_w.release();
  result.limit_w.release();
  result.power_sigma_w = 0;
}

}  // namespace ohmglow
