// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"
#include "twosided/board_place.h"
#include "twosided/side_evidence.h"

namespace ohmglow {

/// One capture with the case it comes from.
struct Capture {
  const LocateResult& result;
  const Case& job;
};

/// All that two captures show of one place, and on which side it hence sits.
/// Index 0: the capture that gives the coordinates, 1: the other.
struct PairView {
  const Capture* captures[2];
  const Candidate* candidates[2] = {nullptr, nullptr};  ///< One may be missing.
  std::optional<std::size_t> other_rank;                ///< In the other's list, from 0.
  double factor[2] = {1, 1};  ///< Of rises and powers, to the first capture's current.
  BoardPlace places[2];
  PlaceView views[2];
  SideEvidence evidence;
  double first_prob = 0.5;  ///< That it sits on the first capture's side.
  int near = 0;             ///< The capture of the side where it more likely sits.

  [[nodiscard]] int far() const { return 1 - near; }
  [[nodiscard]] double near_prob() const { return near == 0 ? first_prob : 1 - first_prob; }
  /// The list that holds both sides.
  [[nodiscard]] const std::vector<Part>& parts() const;
  /// The place as one capture has it, if the source is on the other side.
  [[nodiscard]] BoardPlace WanderedPlace(int i) const;
  /// Whether the far side shows what it should hardly show, or lacks what it should.
  [[nodiscard]] bool FitsPoorly() const;
};

/// @param seen, other  outlive the view.
/// @param pair         one of the two is set.
[[nodiscard]] PairView ViewPair(const Capture& seen, const Capture& other, const PlacePair& pair);

/// Captures that fit worse than this speak against a place.
inline constexpr double kPoorFit = 0.1;

[[nodiscard]] inline const char* SideName(BoardSide side) {
  return side == BoardSide::kTop ? "top" : "bottom";
}

/// Standard error of a place, per axis [mm].
[[nodiscard]] double SigmaMm(const BoardPlace& place);

}  // namespace ohmglow
