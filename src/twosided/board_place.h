// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// A place of the board with its standard errors.
struct BoardPlace {
  Point at_mm;
  cv::Matx22d covariance_mm2 = cv::Matx22d::eye();
};

/// What a board map leaves open of a place [mm^2].
[[nodiscard]] cv::Matx22d MapCovariance(const BoardMaps& maps, Point frame_px);

/// Place of a candidate: error of the place in the frame and of the map.
/// @param result  with a board map.
[[nodiscard]] BoardPlace PlaceOf(const LocateResult& result, const Candidate& candidate);

/// The same where the source is on the other side: heat comes out where the
/// copper lets it, the farther off the wider it is seen.
[[nodiscard]] BoardPlace Wandered(BoardPlace place, double width_mm);

/// Squared distance in standard errors of both.
[[nodiscard]] double DistanceSquared(const BoardPlace& a, const BoardPlace& b);

/// The mean weighted by the inverse covariances.
[[nodiscard]] BoardPlace JoinPlaces(const BoardPlace& a, const BoardPlace& b);

/// A candidate of one list with one of the other, or alone.
struct PlacePair {
  std::optional<std::size_t> seen;
  std::optional<std::size_t> other;
};

/// Pairs the candidates of two captures by board place, the closest first; each
/// at most once. What finds no partner within `most_sigmas` stands alone.
[[nodiscard]] std::vector<PlacePair> PairPlaces(const LocateResult& seen,
                                                const LocateResult& other,
                                                double most_sigmas);

}  // namespace ohmglow
