// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>
#include <memory>
#include <vector>

namespace ohmglow::testing {

// An independent numerical solution of the heat equation for the tests,
//   C dT/dt = div(k grad T) - H T + q,
// by implicit finite volumes in double precision. Nothing of the product or of
// the simulator takes part.

/// One layer through the thickness.
struct ReferenceLayer {
  double thickness_m = 0;
  double kx_w_mk = 0;  ///< Conductivity along x (or along the radius).
  double ky_w_mk = 0;  ///< Along y.
  double kz_w_mk = 0;  ///< Through the thickness.
  double capacity_j_m3k = 0;
};

/// Layers from the face that is looked at downwards, and what the faces lose.
struct ReferenceStack {
  std::vector<ReferenceLayer> layers;
  double film_top_w_m2k = 0;
  double film_bottom_w_m2k = 0;
};

/// A thin plate: one layer of unit thickness, conductances and capacity of the
/// whole, both films together.
[[nodiscard]] ReferenceStack ThinPlate(double kappa_x_w_k,
                                       double kappa_y_w_k,
                                       double capacity_j_m2k,
                                       double film_w_m2k);

/// An even slab cut into `count` layers.
[[nodiscard]] ReferenceStack EvenSlab(int count,
                                      double thickness_m,
                                      double k_plane_w_mk,
                                      double k_through_w_mk,
                                      double capacity_j_m3k,
                                      double film_each_w_m2k);

/// Cells of capacity C joined by conductances G, losing heat to the air:
/// C dT/dt = -(G + loss) T + q.
class ReferenceSolver {
 public:
  /// A box of nx x ny cells per layer with insulated sides: what is heated in a
  /// corner is a quarter of a plate that goes on in a mirror.
  static ReferenceSolver Box(const ReferenceStack& stack, int nx, int ny, double cell_m);

  /// Rings about an axis, cut at these radii [m], 0 the first, rising; ky is
  /// not used.
  static ReferenceSolver Rings(const ReferenceStack& stack, const std::vector<double>& edges_m);

  /// Cells of one layer; of layer l they begin at l times this.
  [[nodiscard]] Eigen::Index cells_per_layer() const { return per_layer_; }
  [[nodiscard]] const Eigen::VectorXd& capacity_j_k() const { return capacity_; }

  /// One step of dt_s with constant heat [W] of the cells: trapezium rule to
  /// (2 - sqrt 2) of it and the backward formula of second order over the
  /// rest; second order, and the stiffest modes die out at once. Source: Bank
  /// et al., IEEE Trans. Electron Devices 32 (1985) 1992 (from memory; order
  /// and damping are tested).
  void Step(double dt_s, const Eigen::VectorXd& heat_w);

  /// The rise after endless heating.
  [[nodiscard]] Eigen::VectorXd Steady(const Eigen::VectorXd& heat_w) const;

  Eigen::VectorXd rise_k;  ///< The state: rises over the air.

 private:
  ReferenceSolver(Eigen::Index per_layer, const ReferenceStack& stack);
  void Join(Eigen::Index a, Eigen::Index b, double conductance_w_k);
  void Finish();

  Eigen::Index per_layer_ = 0;
  Eigen::VectorXd capacity_;
  Eigen::VectorXd loss_;
  std::vector<Eigen::Triplet<double>> entries_;
  Eigen::SparseMatrix<double> flow_;  // G + loss
  std::shared_ptr<Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>> factor_;
  double factored_for_s_ = 0;
};

/// Radii from 0 to `last_m`: even steps of `first_m` up to `even_m`, then each
/// step larger by `growth`.
[[nodiscard]] std::vector<double> GrowingEdges(double first_m,
                                               double even_m,
                                               double growth,
                                               double last_m);

/// Shares of one watt in the rings of the first layer (sum 1): an even disc.
[[nodiscard]] Eigen::VectorXd DiscShares(const std::vector<double>& edges_m, double radius_m);

/// The same of a round Gaussian of standard deviation `sigma_m`.
[[nodiscard]] Eigen::VectorXd GaussianShares(const std::vector<double>& edges_m, double sigma_m);

}  // namespace ohmglow::testing
