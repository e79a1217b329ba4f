// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_warm.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <opencv2/imgproc.hpp>

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
constexpr std::size_t kNamed = 5;

std::string At(const char* format, Point p) {
  char text[60];
  std::snprintf(text, sizeof text, format, p.x, p.y);
  return text;
}

double DistanceMm(const Part& part, Point board_mm) {
  const Point off = board_mm - part.center_mm;
  return std::hypot(std::max(0.0, std::abs(off.x) - 0.5 * part.width_mm),
                    std::max(0.0, std::abs(off.y) - 0.5 * part.height_mm));
}

// "a, b and c", from the fourth on counted.
std::string Listed(const std::vector<std::string>& names) {
  std::string text;
  const std::size_t num = std::min(names.size(), kNamed);
  for (std::size_t i = 0; i < num; ++i) {
    const bool last = i + 1 == names.size() && i > 0;
    text += (i == 0 ? "" : last ? " and " : "; ") + names[i];
  }
  if (num < names.size()) text += " and " + std::to_string(names.size() - num) + " more";
  return text;
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

std::string NearestName(Point frame_px,
                        const LocateResult& result,
                        const std::vector<Part>& parts) {
  if (!result.maps.board_from_frame) return At("at pixel %.0f, %.0f", frame_px);
  const Point board_mm = result.maps.board_from_frame->Apply(frame_px);
  const Part* nearest = nullptr;
  for (const Part& part : parts) {
    if (part.side != result.side) continue;
    const double distance_mm = DistanceMm(part, board_mm);
    if (distance_mm > kNearMm) continue;
    if (nearest == nullptr || distance_mm < DistanceMm(*nearest, board_mm)) nearest = &part;
  }
  return nearest != nullptr ? "near " + nearest->ref : At("at %.3g, %.3g mm", board_mm);
}

std::string SayWarmUnlisted(const Response& response,
                            const LocateResult& result,
                            const std::vector<Part>& parts,
                            double threshold) {
  std::vector<std::string> by_themselves;
  std::vector<std::string> others;
  for (const Point place : WarmUnlisted(response, result)) {
    const std::string name = NearestName(place, result, parts);
    const bool stands_out = response.detector.StandsOut(place) >= threshold;
    std::vector<std::string>& names = stands_out ? others : by_themselves;
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  std::string text;
  if (!by_themselves.empty()) {
    text = "Also warm in the map, but not shown to follow the supply's steps: " +
           Listed(by_themselves) +
           " (a part on standby, slow warming, a hand or a reflection looks like this).";
  }
  if (!others.empty()) {
    text += std::string(text.empty() ? "" : " ") +
            "Also warm with the supply, but no likely fault: " + Listed(others) + ".";
  }
  return text;
}

}  // namespace ohmglow
