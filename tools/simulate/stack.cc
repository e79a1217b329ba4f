// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "stack.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::simulate {
namespace {

constexpr double kLaminateSheet = 1.059;                // W/(m K) in the plane.
constexpr double kLaminateThrough = 0.343;              // W/(m K).
constexpr double kLaminateVolume = 1850 * 1100;         // J/(m3 K).
constexpr double kCopper = 401;                         // W/(m K).
constexpr double kCopperVolume = 8933 * 385;            // J/(m3 K).
constexpr double kViaThrough = 20;                      // Times the laminate, under power parts.
constexpr double kGroupThrough = 10;                    // The same in a group of vias.
constexpr double kCellArea = 1e-6 * kCellMm * kCellMm;  // m2.

// What a kind of part is made of. Body: where heat is made; mould: what the
// camera sees above it, none where mould_j_m2k is 0. Joint: body to board, of
// the whole part (k_w) or of each area (per_area); rim_only for a can's wall.
struct Body {
  double body_j_m2k, body_sheet_w_k;
  double joint_k_w, joint_w_m2k;
  bool rim_only;
  double mould_j_m2k, mould_sheet_w_k, mould_w_m2k;
};

Body BodyOf(PartKind kind) {
  switch (kind) {
    case PartKind::kChip:  // 0.8 mm of ceramic, two soldered ends.
      return {0.8e-3 * 3.2e6, 0.8e-3 * 3.0, 35, 0, false, 0, 0, 0};
    case PartKind::kResistor:  // 0.5 mm of alumina.
      return {0.5e-3 * 3.0e6, 0.5e-3 * 25, 30, 0, false, 0, 0, 0};
    case PartKind::kCircuit:  // Die and frame, 0.8 mm of mould.
      return {0.3e-3 * 2.8e6, 0.3e-3 * 60, 0, 900, false, 0.8e-3 * 1.7e6, 0.8e-3 * 0.8, 1700};
    case PartKind::kTransistor:  // Frame soldered down, 1 mm of mould.
      return {0.5e-3 * 3.2e6, 0.5e-3 * 60, 0, 6000, false, 1.0e-3 * 1.7e6, 1.0e-3 * 0.8, 1300};
    case PartKind::kInductor:  // 3 mm of ferrite around a winding.
      return {3e-3 * 3.4e6, 3e-3 * 4, 20, 0, false, 0, 0, 0};
    case PartKind::kConnector:  // Plastic with pins.
      return {4e-3 * 1.6e6, 4e-3 * 0.3, 0, 120, false, 0, 0, 0};
    case PartKind::kCan:  // 0.2 mm of sheet metal over air, soldered at the rim.
      return {0.2e-3 * 3.4e6, 0.2e-3 * 30, 15, 12, true, 0, 0, 0};
  }
  return {};
}

float Series(double a, double b) {
  return a > 0 && b > 0 ? static_cast<float>(2 * a * b / (a + b)) : 0.0F;
}

// In-plane conductance of one laminate layer: its share of the laminate plus
// the copper nearest to it. Tracks make outer layers anisotropic by themselves,
// for copper meets copper only along them (harmonic mean between cells).
void FillFaces(BoardStack& stack, const Board& board, const Scenario& s) {
  Plate& plate = stack.plate;
  const int layers = static_cast<int>(s.board_layers);
  const double thickness_m = 1e-3 * s.board_thickness_mm;
  FillLaminate(plate,
               stack.top_face,
               layers,
               kLaminateSheet * thickness_m,
               kLaminateVolume * thickness_m,
               kLaminateThrough / thickness_m);
  const double copper_m = 1e-6 * s.copper_um;
  stack.sheet_w_k = cv::Mat_<float>::zeros(board.cells());
  cv::Mat_<double> sheet(board.cells());
  for (int l = 0; l < layers; ++l) {
    for (int y = 0; y < plate.ny; ++y) {
      for (int x = 0; x < plate.nx; ++x) {
        double share = 0;
        for (int c = 0; c < 4; ++c) {
          const int nearest = static_cast<int>(std::lround(c / 3.0 * (layers - 1)));
          if (nearest == l) share += board.copper[static_cast<std::size_t>(c)](y, x);
        }
        const double part = (l == 0 || l == layers - 1 ? 0.5 : 1.0) / (layers - 1);
        sheet(y, x) = part * kLaminateSheet * thickness_m + kCopper * copper_m * share;
        stack.sheet_w_k(y, x) += static_cast<float>(sheet(y, x));
        plate.capacity_j_k[plate.Index(x, y, stack.top_face + l)] +=
            static_cast<float>(kCopperVolume * copper_m * share * kCellArea);
      }
    }
    for (int y = 0; y < plate.ny; ++y) {
      for (int x = 0; x < plate.nx; ++x) {
        const auto i = plate.Index(x, y, stack.top_face + l);
        if (x + 1 < plate.nx) plate.gx_w_k[i] = Series(sheet(y, x), sheet(y, x + 1));
        if (y + 1 < plate.ny) plate.gy_w_k[i] = Series(sheet(y, x), sheet(y + 1, x));
      }
    }
  }
}

// Calls use(x, y, on_rim) for every cell of a part.
template <typename Use>
void ForCells(const BoardPart& part, const Use& use) {
  const int x0 = static_cast<int>(std::lround(part.box_mm.x / kCellMm));
  const int y0 = static_cast<int>(std::lround(part.box_mm.y / kCellMm));
  const int x1 = x0 + static_cast<int>(std::lround(part.box_mm.width / kCellMm)) - 1;
  const int y1 = y0 + static_cast<int>(std::lround(part.box_mm.height / kCellMm)) - 1;
  for (int y = y0; y <= y1; ++y) {
    for (int x = x0; x <= x1; ++x) use(x, y, x == x0 || x == x1 || y == y0 || y == y1, x1, y1);
  }
}

void AddPart(BoardStack& stack, const BoardPart& part) {
  Plate& plate = stack.plate;
  const Body body = BodyOf(part.kind);
  int joints = 0;
  ForCells(part, [&](int, int, bool rim, int, int) { joints += !body.rim_only || rim ? 1 : 0; });
  const int layer = part.top ? stack.top_body : stack.bottom_body;
  const int mould = part.top ? stack.top_mould : stack.bottom_mould;
  ForCells(part, [&](int x, int y, bool rim, int x1, int y1) {
    const auto i = plate.Index(x, y, layer);
    plate.capacity_j_k[i] = static_cast<float>(body.body_j_m2k * kCellArea);
    plate.gx_w_k[i] = x < x1 ? static_cast<float>(body.body_sheet_w_k) : 0;
    plate.gy_w_k[i] = y < y1 ? static_cast<float>(body.body_sheet_w_k) : 0;
    double joint = body.joint_w_m2k * kCellArea;
    if (body.joint_k_w > 0 && (!body.rim_only || rim)) joint += 1 / (body.joint_k_w * joints);
    plate.gz_w_k[part.top ? i : plate.Index(x, y, layer - 1)] = static_cast<float>(joint);
    if (body.mould_j_m2k > 0) {
      const auto m = plate.Index(x, y, mould);
      plate.capacity_j_k[m] = static_cast<float>(body.mould_j_m2k * kCellArea);
      plate.gx_w_k[m] = x < x1 ? static_cast<float>(body.mould_sheet_w_k) : 0;
      plate.gy_w_k[m] = y < y1 ? static_cast<float>(body.mould_sheet_w_k) : 0;
      plate.gz_w_k[part.top ? m : i] = static_cast<float>(body.mould_w_m2k * kCellArea);
    }
    if (part.kind == PartKind::kTransistor) {  // Thermal vias.
      for (int l = stack.top_face; l < stack.bottom_face; ++l) {
        plate.gz_w_k[plate.Index(x, y, l)] *= static_cast<float>(kViaThrough);
      }
    }
  });
}

void AddVias(BoardStack& stack, const Board& board) {
  for (const cv::Rect& cells : board.via_cells) {
    for (int y = cells.y; y < cells.br().y; ++y) {
      for (int x = cells.x; x < cells.br().x; ++x) {
        for (int l = stack.top_face; l < stack.bottom_face; ++l) {
          stack.plate.gz_w_k[stack.plate.Index(x, y, l)] *= static_cast<float>(kGroupThrough);
        }
      }
    }
  }
}

// Air takes heat from what it touches.
void AddLoss(BoardStack& stack, const Scenario& s) {
  for (int y = 0; y < stack.plate.ny; ++y) {
    for (int x = 0; x < stack.plate.nx; ++x) {
      stack.plate.loss_w_k[stack.Visible(x, y, true)] +=
          static_cast<float>(s.film_top_w_m2k * kCellArea);
      stack.plate.loss_w_k[stack.Visible(x, y, false)] +=
          static_cast<float>(s.film_bottom_w_m2k * kCellArea);
    }
  }
}

}  // namespace

std::size_t BoardStack::Visible(int x, int y, bool top) const {
  const auto mould = plate.Index(x, y, top ? top_mould : bottom_mould);
  return plate.capacity_j_k[mould] > 0 ? mould : Body(x, y, top);
}

std::size_t BoardStack::Body(int x, int y, bool top) const {
  const auto body = plate.Index(x, y, top ? top_body : bottom_body);
  return plate.capacity_j_k[body] > 0 ? body : plate.Index(x, y, top ? top_face : bottom_face);
}

BoardStack MakeStack(const Board& board, const Scenario& s) {
  BoardStack stack;
  const int layers = static_cast<int>(s.board_layers);
  stack.bottom_face = stack.top_face + layers - 1;
  stack.bottom_body = stack.bottom_face + 1;
  stack.bottom_mould = stack.bottom_face + 2;
  stack.plate = Plate(board.cells().width, board.cells().height, layers + 4, kCellMm);
  FillFaces(stack, board, s);
  double capacity = 0;
  for (const float c : stack.plate.capacity_j_k) capacity += c;
  stack.capacity_j_m2k = capacity / (kCellArea * board.cells().area());
  AddVias(stack, board);
  for (const auto& part : board.parts) AddPart(stack, part);
  AddLoss(stack, s);
  return stack;
}

}  // namespace ohmglow::simulate
