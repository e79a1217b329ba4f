// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

namespace ohmglow::simulate {

/// Four independent temperature fields over the same plate; one SIMD register.
constexpr int kLanes = 4;
using Lanes = float __attribute__((vector_size(kLanes * sizeof(float))));

/// A stack of layers cut into equal square cells: a network of heat capacities
/// and conductances. Index of a cell: (layer * ny + y) * nx + x. A cell with
/// capacity 0 does not exist (its conductances must be 0).
struct Plate {
  int nx = 0;
  int ny = 0;
  int layers = 0;
  double cell_mm = 0.5;
  std::vector<float> capacity_j_k;  ///< Of each cell.
  std::vector<float> gx_w_k;        ///< To the cell at x + 1.
  std::vector<float> gy_w_k;        ///< To the cell at y + 1.
  std::vector<float> gz_w_k;        ///< To the cell of layer + 1.
  std::vector<float> loss_w_k;      ///< To the air.

  Plate() = default;
  Plate(int nx_cells, int ny_cells, int num_layers, double cell_size_mm);
  [[nodiscard]] std::size_t Index(int x, int y, int layer) const {
    return static_cast<std::size_t>((layer * ny + y) * nx + x);
  }
  [[nodiscard]] std::size_t size() const { return capacity_j_k.size(); }
};

/// A bare board: `layers` layers through a laminate, uniform in the plane.
/// The first and the last layer lie at the faces and carry half a share of the
/// capacity; the coupling between layers is set so that the far face, heated
/// evenly from the other, lags by thickness^2 / (6 diffusivity), as the
/// continuous slab does (Carslaw & Jaeger, Conduction of Heat in Solids, 3.8).
/// @param sheet_w_k  in-plane conductivity x thickness of the whole board.
/// @param capacity_j_m2k  areal heat capacity of the whole board.
/// @param through_w_m2k  conductivity through the plane / thickness.
void FillLaminate(Plate& plate,
                  int first_layer,
                  int layers,
                  double sheet_w_k,
                  double capacity_j_m2k,
                  double through_w_m2k);

/// Conductance between neighbouring layers that FillLaminate gives [W/(m2 K)].
[[nodiscard]] double LayerCoupling(int layers, double through_w_m2k);

/// Heat of one cell and lane.
struct CellHeat {
  std::size_t cell = 0;
  int lane = 0;
  double power_w = 0;
};

/// Marches a plate in time: C dT/dt = G T + q for rises over the air.
///
/// Explicit second-order Runge-Kutta-Legendre steps: s stages reach
/// (s^2 + s - 2)/4 times the explicit limit, are damped for every stiff mode
/// and need no linear algebra, whatever the network. (Alternating-direction
/// implicit steps of the same length leave the finest modes next to a point
/// source nearly unmoved; a sparse factorisation costs more per step.)
/// Source: Meyer, Balsara, Aslam, J. Comput. Phys. 257 (2014) 594-626,
/// coefficients from memory, order and stability checked by the tests.
class PlateSolver {
 public:
  explicit PlateSolver(const Plate& plate);

  /// One step of dt_s with constant heat.
  void Step(double dt_s, const std::vector<CellHeat>& heat);

  [[nodiscard]] const std::vector<Lanes>& rise_k() const { return state_; }
  [[nodiscard]] float rise_k(std::size_t cell, int lane) const { return state_[cell][lane]; }
  /// Explicit limit of one stage [s].
  [[nodiscard]] double limit_s() const { return limit_s_; }
  /// Sum of capacity x rise of one lane [J].
  [[nodiscard]] double Energy(int lane) const;
  /// Heat that one lane gives to the air [W].
  [[nodiscard]] double Loss(int lane) const;

 private:
  struct Run {
    std::size_t begin, end;
  };
  struct Stage {
    float mu, nu, rest, mu_dt, gamma_dt;
  };

  void FirstStage(const Stage& stage, const std::vector<CellHeat>& heat);
  void NextStage(const Stage& stage, const std::vector<CellHeat>& heat);
  [[nodiscard]] Lanes Flow(const Lanes* at, std::size_t i) const;
  void AddHeat(std::vector<Lanes>& to, const std::vector<CellHeat>& heat, double factor_s) const;

  Plate plate_;
  std::size_t pad_ = 0;  // Cells before and after, so that neighbours always exist.
  std::vector<Run> runs_;
  std::vector<float> gx_, gy_, gz_, loss_, inverse_;  // Padded.
  std::vector<Lanes> state_, padded_, one_, two_, rate_;
  double limit_s_ = 0;
};

}  // namespace ohmglow::simulate
