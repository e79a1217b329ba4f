// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/reference_solver.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace ohmglow::testing {

ReferenceStack ThinPlate(double kappa_x_w_k,
                         double kappa_y_w_k,
                         double capacity_j_m2k,
                         double film_w_m2k) {
  return {{{1, kappa_x_w_k, kappa_y_w_k, 0, capacity_j_m2k}}, film_w_m2k, 0};
}

ReferenceStack EvenSlab(int count,
                        double thickness_m,
                        double k_plane_w_mk,
                        double k_through_w_mk,
                        double capacity_j_m3k,
                        double film_each_w_m2k) {
  const ReferenceLayer layer{
      thickness_m / count, k_plane_w_mk, k_plane_w_mk, k_through_w_mk, capacity_j_m3k};
  return {std::vector<ReferenceLayer>(static_cast<std::size_t>(count), layer),
          film_each_w_m2k,
          film_each_w_m2k};
}

ReferenceSolver::ReferenceSolver(Eigen::Index per_layer, const ReferenceStack& stack)
    : per_layer_(per_layer) {
  const auto cells = per_layer * static_cast<Eigen::Index>(stack.layers.size());
  capacity_.setZero(cells);
  loss_.setZero(cells);
  rise_k.setZero(cells);
}

void ReferenceSolver::Join(Eigen::Index a, Eigen::Index b, double conductance_w_k) {
  entries_.emplace_back(a, a, conductance_w_k);
  entries_.emplace_back(b, b, conductance_w_k);
  entries_.emplace_back(a, b, -conductance_w_k);
  entries_.emplace_back(b, a, -conductance_w_k);
}

void ReferenceSolver::Finish() {
  for (Eigen::Index i = 0; i < loss_.size(); ++i) entries_.emplace_back(i, i, loss_(i));
  flow_.resize(loss_.size(), loss_.size());
  flow_.setFromTriplets(entries_.begin(), entries_.end());
  entries_.clear();
}

namespace {

// Between the middles of two layers, for an area of one square metre.
double BetweenLayers(const ReferenceLayer& a, const ReferenceLayer& b) {
  return 1 / (0.5 * a.thickness_m / a.kz_w_mk + 0.5 * b.thickness_m / b.kz_w_mk);
}

// From a layer's middle through its outer half to the air. A thin plate
// (kz = 0) is as warm at its face as in its middle.
double ToAir(const ReferenceLayer& layer, double film_w_m2k) {
  if (film_w_m2k <= 0) return 0;
  if (layer.kz_w_mk <= 0) return film_w_m2k;
  return 1 / (1 / film_w_m2k + 0.5 * layer.thickness_m / layer.kz_w_mk);
}

}  // namespace

ReferenceSolver ReferenceSolver::Box(const ReferenceStack& stack, int nx, int ny, double cell_m) {
  ReferenceSolver out(Eigen::Index{nx} * ny, stack);
  const double area_m2 = cell_m * cell_m;
  for (std::size_t l = 0; l < stack.layers.size(); ++l) {
    const ReferenceLayer& layer = stack.layers[l];
    for (int y = 0; y < ny; ++y) {
      for (int x = 0; x < nx; ++x) {
        const Eigen::Index at = static_cast<Eigen::Index>(l) * out.per_layer_ + y * nx + x;
        out.capacity_(at) = layer.capacity_j_m3k * layer.thickness_m * area_m2;
        // Square cells: width over distance is 1.
        if (x + 1 < nx) out.Join(at, at + 1, layer.kx_w_mk * layer.thickness_m);
        if (y + 1 < ny) out.Join(at, at + nx, layer.ky_w_mk * layer.thickness_m);
        if (l + 1 < stack.layers.size()) {
          out.Join(at, at + out.per_layer_, BetweenLayers(layer, stack.layers[l + 1]) * area_m2);
        }
        if (l == 0) out.loss_(at) += ToAir(layer, stack.film_top_w_m2k) * area_m2;
        if (l + 1 == stack.layers.size()) {
          out.loss_(at) += ToAir(layer, stack.film_bottom_w_m2k) * area_m2;
        }
      }
    }
  }
  out.Finish();
  return out;
}

ReferenceSolver ReferenceSolver::Rings(const ReferenceStack& stack,
                                       const std::vector<double>& edges_m) {
  const auto rings = static_cast<Eigen::Index>(edges_m.size()) - 1;
  ReferenceSolver out(rings, stack);
  const auto edge = [&](Eigen::Index i) { return edges_m[static_cast<std::size_t>(i)]; };
  for (std::size_t l = 0; l < stack.layers.size(); ++l) {
    const ReferenceLayer& layer = stack.layers[l];
    for (Eigen::Index i = 0; i < rings; ++i) {
      const Eigen::Index at = static_cast<Eigen::Index>(l) * rings + i;
      const double area_m2 = std::numbers::pi * (edge(i + 1) * edge(i + 1) - edge(i) * edge(i));
      out.capacity_(at) = layer.capacity_j_m3k * layer.thickness_m * area_m2;
      if (i + 1 < rings) {
        const double apart_m = 0.5 * (edge(i + 2) - edge(i));
        const double wall_m2 = 2 * std::numbers::pi * edge(i + 1) * layer.thickness_m;
        out.Join(at, at + 1, layer.kx_w_mk * wall_m2 / apart_m);
      }
      if (l + 1 < stack.layers.size()) {
        out.Join(at, at + rings, BetweenLayers(layer, stack.layers[l + 1]) * area_m2);
      }
      if (l == 0) out.loss_(at) += ToAir(layer, stack.film_top_w_m2k) * area_m2;
      if (l + 1 == stack.layers.size()) {
        out.loss_(at) += ToAir(layer, stack.film_bottom_w_m2k) * area_m2;
      }
    }
  }
  out.Finish();
  return out;
}

void ReferenceSolver::Step(double dt_s, const Eigen::VectorXd& heat_w) {
  // With this share both halves have the matrix C + a dt K.
  const double share = 2 - std::numbers::sqrt2;
  const double a = 0.5 * share;
  if (dt_s != factored_for_s_) {
    Eigen::SparseMatrix<double> matrix = a * dt_s * flow_;
    matrix.diagonal() += capacity_;
    factor_ = std::make_shared<Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>>(matrix);
    if (factor_->info() != Eigen::Success) throw std::runtime_error("no factorisation");
    factored_for_s_ = dt_s;
  }
  const Eigen::VectorXd stored = capacity_.cwiseProduct(rise_k);
  const Eigen::VectorXd middle = factor_->solve(stored + a * dt_s * (2 * heat_w - flow_ * rise_k));
  const double of_middle = 1 / (share * (2 - share));
  const double of_old = (1 - share) * (1 - share) * of_middle;
  rise_k = factor_->solve(of_middle * capacity_.cwiseProduct(middle) - of_old * stored +
                          a * dt_s * heat_w);
}

Eigen::VectorXd ReferenceSolver::Steady(const Eigen::VectorXd& heat_w) const {
  const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factor(flow_);
  if (factor.info() != Eigen::Success) throw std::runtime_error("no factorisation");
  return factor.solve(heat_w);
}

std::vector<double> GrowingEdges(double first_m, double even_m, double growth, double last_m) {
  std::vector<double> edges_m = {0};
  double step_m = first_m;
  while (edges_m.back() < last_m) {
    if (edges_m.back() >= even_m - 0.5 * first_m) step_m *= growth;
    edges_m.push_back(edges_m.back() + step_m);
  }
  return edges_m;
}

namespace {

// Shares from what lies within a radius.
template <typename Within>
Eigen::VectorXd Shares(const std::vector<double>& edges_m, const Within& within) {
  const auto rings = static_cast<Eigen::Index>(edges_m.size()) - 1;
  Eigen::VectorXd shares(rings);
  for (Eigen::Index i = 0; i < rings; ++i) {
    shares(i) = within(edges_m[static_cast<std::size_t>(i) + 1]) -
                within(edges_m[static_cast<std::size_t>(i)]);
  }
  return shares;
}

}  // namespace

Eigen::VectorXd DiscShares(const std::vector<double>& edges_m, double radius_m) {
  return Shares(edges_m,
                [radius_m](double r_m) { return std::min(1.0, std::pow(r_m / radius_m, 2)); });
}

Eigen::VectorXd GaussianShares(const std::vector<double>& edges_m, double sigma_m) {
  return Shares(edges_m,
                [sigma_m](double r_m) { return -std::expm1(-0.5 * std::pow(r_m / sigma_m, 2)); });
}

}  // namespace ohmglow::testing
