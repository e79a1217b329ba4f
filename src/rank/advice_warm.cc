// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_warm.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "ohmglow/base/remark_kind.h"
#include "rank/advice_glare.h"
#include "rank/peaks.h"

namespace ohmglow {
namespace {

constexpr double kSmoothPx = 1;
constexpr double kClearOfNoise = 10;
constexpr double kOfWarmest = 0.1;
constexpr double kSaddle = 0.7;
// What is listed reaches so far, at least and of its width.
constexpr double kLeastReachMm = 4;
constexpr double kReachOfWidth = 1.5;
constexpr double kOnePatchMm = 8;
constexpr double kNearMm = 3;
constexpr std::size_t kMostWarmNamed = 5;

double DistanceMm(const Part& part, Point board_mm) {
  const Point off = board_mm - part.center_mm;
  return std::hypot(std::max(0.0, std::abs(off.x) - 0.5 * part.width_mm),
                    std::max(0.0, std::abs(off.y) - 0.5 * part.height_mm));
}

// The first few; the others counted.
Remark Listed(RemarkKind kind, std::vector<Remark> names) {
  const std::size_t num = std::min(names.size(), kMostWarmNamed);
  if (num < names.size()) {
    const auto count = static_cast<double>(names.size() - num);
    names.resize(num);
    names.push_back(Remark(RemarkKind::kAndMore).With("count", count));
  }
  return Remark(kind).With("places", std::move(names));
}

}  // namespace

std::vector<Point> WarmUnlisted(const Response& response, const LocateResult& result) {
  Image map = response.rise_k.clone();
  if (!response.rise_gain.empty()) map /= response.rise_gain;  // Its noise is not even otherwise.
  map.setTo(0, response.seen == 0);
  cv::patchNaNs(map, 0);
  cv::GaussianBlur(map, map, {}, kSmoothPx);
  map.setTo(0, response.seen == 0);
  double warmest_k = 0;
  cv::minMaxLoc(map, nullptr, &warmest_k);
  // Faint beside the warmest, but not where it glares.
  const double least_k =
      std::min(std::max(kClearOfNoise * response.noise_rise_k, kOfWarmest * warmest_k),
               std::max(GlaringFrom(response.noise_rise_k, result.values),
                        kOfWarmest * kOfWarmest * warmest_k));
  const double px_per_mm = result.mm_per_pixel > 0 ? 1 / result.mm_per_pixel : 1;
  std::vector<Point> places;
  for (const Peak& peak : FindPeaks(map, std::max(least_k, 1e-9), kSaddle)) {
    const bool listed = std::any_of(
        result.candidates.begin(), result.candidates.end(), [&](const Candidate& candidate) {
          // A wide but weaker place does not make what is warmer than itself.
          const double width_mm = candidate.rise_k > peak.height ? candidate.width_mm : 0;
          const double reach_mm = std::max(kLeastReachMm, kReachOfWidth * width_mm);
          return cv::norm(candidate.Peak() - peak.at_px) < reach_mm * px_per_mm;
        });
    const bool known = std::any_of(places.begin(), places.end(), [&](Point place) {
      return cv::norm(place - peak.at_px) < kOnePatchMm * px_per_mm;
    });
    if (!listed && !known) places.push_back(peak.at_px);
  }
  return places;
}

Remark NearestName(Point frame_px, const LocateResult& result, const std::vector<Part>& parts) {
  if (!result.maps.board_from_frame) {
    return Remark(RemarkKind::kAtPixel).With("x_px", frame_px.x).With("y_px", frame_px.y);
  }
  const Point board_mm = result.maps.board_from_frame->Apply(frame_px);
  const Part* nearest = nullptr;
  for (const Part& part : parts) {
    if (part.side != result.side) continue;
    const double distance_mm = DistanceMm(part, board_mm);
    if (distance_mm > kNearMm) continue;
    if (nearest == nullptr || distance_mm < DistanceMm(*nearest, board_mm)) nearest = &part;
  }
  if (nearest != nullptr) return Remark(RemarkKind::kNearPart).With("part", nearest->ref);
  return Remark(RemarkKind::kAtBoard).With("x_mm", board_mm.x).With("y_mm", board_mm.y);
}

Remark SayWarmUnlisted(const Response& response,
                       const LocateResult& result,
                       const std::vector<Part>& parts,
                       double threshold) {
  std::vector<Remark> by_themselves;
  std::vector<Remark> others;
  for (const Point place : WarmUnlisted(response, result)) {
    const Remark name = NearestName(place, result, parts);
    const bool stands_out = response.detector.StandsOut(place) >= threshold;
    std::vector<Remark>& names = stands_out ? others : by_themselves;
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  if (by_themselves.empty() && others.empty()) return {};
  if (others.empty()) return Listed(RemarkKind::kWarmByItself, std::move(by_themselves));
  if (by_themselves.empty()) return Listed(RemarkKind::kWarmNoFault, std::move(others));
  return Remark(RemarkKind::kBothSaid)
      .With("first", Listed(RemarkKind::kWarmByItself, std::move(by_themselves)))
      .With("second", Listed(RemarkKind::kWarmNoFault, std::move(others)));
}

}  // namespace ohmglow
