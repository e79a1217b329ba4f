// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/capture_view.h"

#include <algorithm>
#include <cmath>

namespace ohmglow {
namespace {

constexpr double kLeastReachPx = 2;
constexpr double kMostReachPx = 5;
// The largest of some thirty pixels of noise lies about two of its sigmas up.
constexpr double kNoiseOfLargest = 2;

// Half of a clip and of the error with which one is marked.
constexpr double kContactMm = 0.8;

}  // namespace

double ContactAt(const LocateResult& result, const Case& job, const BoardPlace& place) {
  const double variance_mm2 = kContactMm * kContactMm + 0.5 * cv::trace(place.covariance_mm2);
  double best = 0;
  for (const Contact& contact : job.contacts) {
    const Point apart_mm = result.maps.board_from_frame->Apply(contact.frame_px) - place.at_mm;
    best = std::max(best, std::exp(-0.5 * apart_mm.dot(apart_mm) / variance_mm2));
  }
  return best;
}

double TopAmps(const LocateResult& result) {
  double top_a = 0;
  for (const SupplyLevel& level : result.levels) top_a = std::max(top_a, level.amps_a);
  return top_a;
}

Point FramePlace(const LocateResult& result, Point board_mm) {
  return result.maps.board_from_frame->Inverse().Apply(board_mm);
}

PlaceView ViewUnlisted(const LocateResult& result, const BoardPlace& place, double rise_factor) {
  const Point at_px = FramePlace(result, place.at_mm);
  const double mm_per_px =
      std::sqrt(std::abs(cv::determinant(result.maps.board_from_frame->Jacobian(at_px))));
  const double sigma_mm = std::sqrt(0.5 * cv::trace(place.covariance_mm2));
  const double reach_px = std::clamp(sigma_mm / mm_per_px, kLeastReachPx, kMostReachPx);
  PlaceView view;
  view.filmed = false;
  const Image& map = result.response_k;
  const int reach = static_cast<int>(std::ceil(reach_px));
  const cv::Point middle(cvRound(at_px.x), cvRound(at_px.y));
  for (int y = std::max(0, middle.y - reach); y <= std::min(map.rows - 1, middle.y + reach); ++y) {
    for (int x = std::max(0, middle.x - reach); x <= std::min(map.cols - 1, middle.x + reach);
         ++x) {
      if (std::hypot(x - at_px.x, y - at_px.y) > reach_px || !std::isfinite(map(y, x))) continue;
      const double rise_k = rise_factor * static_cast<double>(map(y, x));
      view.rise_k = view.filmed ? std::max(view.rise_k, rise_k) : rise_k;
      view.filmed = true;
    }
  }
  view.rise_sigma_k = rise_factor * kNoiseOfLargest * result.noise_response_k;
  return view;
}

PlaceView ViewListed(const LocateResult& result, const Candidate& candidate, double rise_factor) {
  PlaceView view;
  view.rise_k = rise_factor * candidate.rise_k;
  view.rise_sigma_k = rise_factor * result.noise_response_k;
  if (candidate.width_mm > 0) view.width_mm = candidate.width_mm;
  view.quickness = QuicknessOf(candidate, result.levels);
  view.alone = candidate.side;
  return view;
}

}  // namespace ohmglow
