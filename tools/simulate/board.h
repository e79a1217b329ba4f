// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "scenario.h"

namespace ohmglow::simulate {

constexpr double kCellMm = 0.5;  ///< Thermal grid; parts lie on it.

enum class PartKind { kChip, kResistor, kCircuit, kTransistor, kInductor, kConnector, kCan };

/// The word of parts.csv for a kind.
[[nodiscard]] const char* KindName(PartKind kind);

struct BoardPart {
  std::string ref;
  PartKind kind = PartKind::kChip;
  cv::Rect2d box_mm;  ///< Edges on the thermal grid.
  bool top = true;
  [[nodiscard]] Point center_mm() const {
    return {box_mm.x + 0.5 * box_mm.width, box_mm.y + 0.5 * box_mm.height};
  }
};

struct Track {
  cv::Rect2d box_mm;
  int layer = 0;  ///< Copper layer: 0 top, 3 bottom.
};

/// A bare shiny place, 1.5 to 2 mm wide: test pads and where leads clip on.
struct Pad {
  Point center_mm;
  double size_mm = 1.5;
  bool top = true;
};

/// An invented board. Board coordinates: mm, origin at the upper left corner
/// seen from the top, +x right, +y down; the bottom is seen mirrored in x.
struct Board {
  double width_mm = 0;
  double height_mm = 0;
  std::vector<BoardPart> parts;
  std::vector<Track> tracks;
  std::vector<Pad> pads;                ///< Test pads.
  std::vector<Pad> holes;               ///< Mounting holes, bare rims.
  std::vector<cv::Mat_<float>> copper;  ///< Four layers, share of copper per cell.
  std::vector<cv::Rect> via_cells;      ///< Where vias lead heat through, on the thermal grid.
  [[nodiscard]] cv::Size cells() const {
    return {static_cast<int>(width_mm / kCellMm), static_cast<int>(height_mm / kCellMm)};
  }
  /// Index of the part over a place of one side, or -1.
  [[nodiscard]] int PartAt(Point at_mm, bool top) const;
};

/// Draws a board: parts that do not overlap, planes with gaps and keep-outs,
/// split power areas, pours and tracks. With fault_neighbor_mm > 0 the first
/// two parts are like chips at that distance on the side of the fault.
[[nodiscard]] Board MakeBoard(const Scenario& scenario);

/// Fills `copper` (called by MakeBoard, once the parts are placed).
void LayCopper(Board& board, const Scenario& scenario);

}  // namespace ohmglow::simulate
