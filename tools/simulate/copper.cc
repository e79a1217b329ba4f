// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "board.h"
#include "random.h"

namespace ohmglow::simulate {
namespace {

cv::Rect Cells(const cv::Rect2d& box_mm, cv::Size cells) {
  const cv::Rect r(static_cast<int>(std::floor(box_mm.x / kCellMm + 1e-6)),
                   static_cast<int>(std::floor(box_mm.y / kCellMm + 1e-6)),
                   static_cast<int>(std::ceil(box_mm.width / kCellMm - 1e-6)),
                   static_cast<int>(std::ceil(box_mm.height / kCellMm - 1e-6)));
  return r & cv::Rect({}, cells);
}

void Fill(cv::Mat_<float>& layer, const cv::Rect2d& box_mm, double share) {
  layer(Cells(box_mm, layer.size())) = static_cast<float>(share);
}

cv::Rect2d RandomBox(const Board& board, double low_mm, double high_mm, Random& random) {
  const double w = random.Uniform(low_mm, high_mm);
  const double h = random.Uniform(low_mm, high_mm);
  return {random.Uniform(0, board.width_mm - w), random.Uniform(0, board.height_mm - h), w, h};
}

// A ground plane with keep-outs and slits, perforated by antipads.
void LayGround(Board& board, cv::Mat_<float>& layer, double cover, Random& random) {
  if (cover <= 0) return;
  layer = 0.85F;
  const double area = board.width_mm * board.height_mm;
  for (double cut = 0; cut < (1 - cover) * area;) {
    const cv::Rect2d box = RandomBox(board, 6, 18, random);
    Fill(layer, box, 0);
    cut += box.area();
  }
  for (int k = 0; k < 4; ++k) {
    const double length = random.Uniform(8, 20);
    cv::Rect2d slit = RandomBox(board, 0.4, 0.5, random);
    (random.Chance(0.5) ? slit.width : slit.height) = length;
    Fill(layer, slit, 0.15);
  }
}

// Power areas with gaps between; some areas stay bare.
void LayPower(Board& board, cv::Mat_<float>& layer, double cover, Random& random) {
  const double x1 = board.width_mm * random.Uniform(0.3, 0.45);
  const double x2 = board.width_mm * random.Uniform(0.6, 0.75);
  const double y1 = board.height_mm * random.Uniform(0.35, 0.65);
  const double xs[] = {0, x1, x2, board.width_mm};
  const double ys[] = {0, y1, board.height_mm};
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 2; ++j) {
      const bool filled = random.Chance(cover);
      const cv::Rect2d box(xs[i] + 0.5, ys[j] + 0.5, xs[i + 1] - xs[i] - 1, ys[j + 1] - ys[j] - 1);
      if (filled) Fill(layer, box, 0.85);
    }
  }
}

// Pours and parallel tracks of an outer layer; tracks run along the parts.
void LayOuter(Board& board, cv::Mat_<float>& layer, int index, Random& random) {
  layer = 0.12F;
  for (int k = 0; k < 5; ++k) {
    Fill(layer, RandomBox(board, 6, 16, random), random.Uniform(0.6, 0.95));
  }
  for (int k = 0; k < 16; ++k) {
    const double length = random.Uniform(6, 16);
    const double width = kCellMm * random.Integer(1, 2);
    cv::Rect2d box = RandomBox(board, width, width + 1e-6, random);
    box.x = kCellMm * std::floor(box.x / kCellMm);
    box.y = kCellMm * std::floor(box.y / kCellMm);
    (random.Chance(index == 0 ? 0.7 : 0.3) ? box.width : box.height) =
        kCellMm * std::round(length / kCellMm);
    box &= cv::Rect2d(1, 1, board.width_mm - 2, board.height_mm - 2);
    if (box.area() <= 0) continue;
    Fill(layer, box, 0.9);
    board.tracks.push_back({box, index});
  }
}

// A power part sits on copper of its own.
void LayThermalPads(Board& board) {
  for (const auto& part : board.parts) {
    if (part.kind == PartKind::kTransistor || part.kind == PartKind::kCircuit) {
      const cv::Rect2d wide(
          part.box_mm.x - 0.5, part.box_mm.y - 0.5, part.box_mm.width + 1, part.box_mm.height + 1);
      Fill(board.copper[part.top ? 0 : 3], wide, 0.8);
    }
  }
}

// Patches of copper that end all around, so that heat spreads well within one and
// badly beyond; and groups of vias, where it comes through the laminate best.
void LayPatches(Board& board, const Scenario& s, std::uint64_t seed) {
  Random random(seed, "patches");
  for (int k = 0; k < static_cast<int>(s.islands); ++k) {
    const cv::Rect2d box = RandomBox(board, 3, 10, random);
    const double moat_mm = kCellMm * random.Integer(1, 3);
    for (auto& layer : board.copper) {
      Fill(layer,
           {box.x - moat_mm, box.y - moat_mm, box.width + 2 * moat_mm, box.height + 2 * moat_mm},
           0);
      if (random.Chance(0.7)) Fill(layer, box, 0.9);
    }
  }
  for (int k = 0; k < static_cast<int>(s.via_groups); ++k) {
    const cv::Rect cells = Cells(RandomBox(board, 1, 2, random), board.cells());
    if (cells.area() > 0) board.via_cells.push_back(cells);
  }
}

}  // namespace

void LayCopper(Board& board, const Scenario& s) {
  const auto seed = s.board_seed > 0 ? static_cast<std::uint64_t>(s.board_seed) : s.seed;
  Random random(seed, "copper");
  board.copper.assign(4, cv::Mat_<float>());
  for (auto& layer : board.copper) layer = cv::Mat_<float>::zeros(board.cells());
  LayOuter(board, board.copper[0], 0, random);
  LayGround(board, board.copper[1], s.plane_cover, random);
  LayPower(board, board.copper[2], s.plane_cover, random);
  LayOuter(board, board.copper[3], 3, random);
  LayPatches(board, s, seed);
  LayThermalPads(board);
}

}  // namespace ohmglow::simulate
