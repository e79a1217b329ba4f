// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "desk/capture.h"

namespace ohmglow::desk {

/// What parts are drawn on: how the board's millimetres lie in the frame.
struct Ground {
  enum class State {
    kBoard,      ///< The landmarks tell it.
    kFrame,      ///< Nothing tells it: the frame's own axes, to scale, will do.
    kScale,      ///< Nothing, and the scale is only guessed.
    kLandmarks,  ///< As kFrame, but a photo needs three landmarks first.
    kAxes,       ///< Parts or landmarks have millimetres that do not say how they lie.
    kForm,       ///< The parts list is in a form that is not changed here.
  };
  State state = State::kScale;
  /// Set for kBoard and kFrame.
  std::optional<PlaneMap> board_from_frame = std::nullopt;
};
[[nodiscard]] Ground GroundOf(const Capture& capture);

/// Where a part's corners lie in the frame, in turn.
[[nodiscard]] std::vector<Point> CornersOf(const Part& part, const PlaneMap& frame_from_board);

/// A parts list without parts.
[[nodiscard]] std::string EmptyParts();

/// The parts of the side in view, where they lie: {version, ground, rows: [{row, ref, corners}],
/// board_from_frame},
/// corners in points of the frame, in turn.
[[nodiscard]] nlohmann::json ToDrawnParts(const Capture& capture);

/// The text of a parts list with one part drawn, changed or taken out. Parts lie along the board's
/// axes: of a box its two corners count.
/// @param change  {"row": number or null, "ref": name, "box": [[x, y], [x, y]]} or {"row",
/// "remove"};
///                what is not there stays.
/// @throws OptionError, nlohmann::json::exception
[[nodiscard]] std::string WithPart(const std::string& text,
                                   const nlohmann::json& change,
                                   const PlaneMap& board_from_frame,
                                   BoardSide side);

/// The text of the landmarks with millimetres in the frame's axes; without landmarks, the corners
/// of the frame become such.
[[nodiscard]] std::string WithFrameAxes(const std::string& text, const Capture& capture);

/// Where the landmarks' millimetres are those of WithFrameAxes(): how many are a point. A
/// landmark that is moved keeps to them then.
[[nodiscard]] std::optional<double> FrameAxesMm(const std::vector<Landmark>& landmarks);

}  // namespace ohmglow::desk
