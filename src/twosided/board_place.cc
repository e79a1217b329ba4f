// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/board_place.h"

#include <algorithm>
#include <cmath>

namespace ohmglow {
namespace {

// On finite-element boards heat of the other side came out up to 4 mm beside its
// source, the wider the farther: common, no more exact source.
constexpr double kLeastWanderMm = 0.8;
constexpr double kWanderOfWidth = 0.15;

cv::Matx22d Isotropic(double sigma) { return sigma * sigma * cv::Matx22d::eye(); }

struct Link {
  std::size_t seen;
  std::size_t other;
  double distance2;
};

}  // namespace

cv::Matx22d MapCovariance(const BoardMaps& maps, Point frame_px) {
  return maps.board_error.known() ? maps.board_error.Covariance(frame_px)
                                  : Isotropic(maps.board_error_mm);
}

BoardPlace PlaceOf(const LocateResult& result, const Candidate& candidate) {
  const PlaneMap& map = *result.maps.board_from_frame;
  const cv::Matx22d jacobian = map.Jacobian(candidate.Peak());
  const double variance_px2 = candidate.PeakSigma() * candidate.PeakSigma();
  BoardPlace place{map.Apply(candidate.Peak()), variance_px2 * (jacobian * jacobian.t())};
  place.covariance_mm2 += MapCovariance(result.maps, candidate.Peak());
  return place;
}

BoardPlace Wandered(BoardPlace place, double width_mm) {
  place.covariance_mm2 += Isotropic(std::max(kLeastWanderMm, kWanderOfWidth * width_mm));
  return place;
}

double DistanceSquared(const BoardPlace& a, const BoardPlace& b) {
  const cv::Vec2d apart(a.at_mm.x - b.at_mm.x, a.at_mm.y - b.at_mm.y);
  return apart.dot((a.covariance_mm2 + b.covariance_mm2).inv() * apart);
}

BoardPlace JoinPlaces(const BoardPlace& a, const BoardPlace& b) {
  const cv::Matx22d weight_a = a.covariance_mm2.inv();
  const cv::Matx22d weight_b = b.covariance_mm2.inv();
  BoardPlace joined;
  joined.covariance_mm2 = (weight_a + weight_b).inv();
  const cv::Vec2d at = joined.covariance_mm2 * (weight_a * cv::Vec2d(a.at_mm.x, a.at_mm.y) +
                                                weight_b * cv::Vec2d(b.at_mm.x, b.at_mm.y));
  joined.at_mm = {at[0], at[1]};
  return joined;
}

std::vector<PlacePair> PairPlaces(const LocateResult& seen,
                                  const LocateResult& other,
                                  double most_sigmas) {
  std::vector<Link> links;
  for (std::size_t i = 0; i < seen.candidates.size(); ++i) {
    const BoardPlace here = PlaceOf(seen, seen.candidates[i]);
    for (std::size_t j = 0; j < other.candidates.size(); ++j) {
      // One of the two sees the far side, which is the one that sees it wider.
      const double width_mm = std::max(seen.candidates[i].width_mm, other.candidates[j].width_mm);
      const BoardPlace there = Wandered(PlaceOf(other, other.candidates[j]), width_mm);
      const double distance2 = DistanceSquared(here, there);
      if (distance2 < most_sigmas * most_sigmas) links.push_back({i, j, distance2});
    }
  }
  std::stable_sort(links.begin(), links.end(), [](const Link& a, const Link& b) {
    return a.distance2 < b.distance2;
  });
  std::vector<PlacePair> pairs;
  std::vector<bool> seen_taken(seen.candidates.size());
  std::vector<bool> other_taken(other.candidates.size());
  for (const Link& link : links) {
    if (seen_taken[link.seen] || other_taken[link.other]) continue;
    seen_taken[link.seen] = other_taken[link.other] = true;
    pairs.push_back({link.seen, link.other});
  }
  for (std::size_t i = 0; i < seen_taken.size(); ++i) {
    if (!seen_taken[i]) pairs.push_back({i, std::nullopt});
  }
  for (std::size_t j = 0; j < other_taken.size(); ++j) {
    if (!other_taken[j]) pairs.push_back({std::nullopt, j});
  }
  return pairs;
}

}  // namespace ohmglow
