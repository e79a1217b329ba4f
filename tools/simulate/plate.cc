// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "plate.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::simulate {

Plate::Plate(int nx_cells, int ny_cells, int num_layers, double cell_size_mm)
    : nx(nx_cells), ny(ny_cells), layers(num_layers), cell_mm(cell_size_mm) {
  const auto n = static_cast<std::size_t>(nx * ny * layers);
  for (auto* v : {&capacity_j_k, &gx_w_k, &gy_w_k, &gz_w_k, &loss_w_k}) v->assign(n, 0.0F);
}

// Nodes at both faces and evenly between delay the far face by
// L^2/alpha (1/6 + 1/(12 (n-1)^2)); the factor brings that back to 1/6.
double LayerCoupling(int layers, double through_w_m2k) {
  const double gaps = layers - 1;
  return through_w_m2k * gaps * (1 + 0.5 / (gaps * gaps));
}

void FillLaminate(Plate& plate,
                  int first_layer,
                  int layers,
                  double sheet_w_k,
                  double capacity_j_m2k,
                  double through_w_m2k) {
  const double area_m2 = 1e-6 * plate.cell_mm * plate.cell_mm;
  for (int l = 0; l < layers; ++l) {
    const bool face = l == 0 || l == layers - 1;
    const double share = (face ? 0.5 : 1.0) / (layers - 1);
    for (int y = 0; y < plate.ny; ++y) {
      for (int x = 0; x < plate.nx; ++x) {
        const auto i = plate.Index(x, y, first_layer + l);
        plate.capacity_j_k[i] = static_cast<float>(share * capacity_j_m2k * area_m2);
        plate.gx_w_k[i] = x + 1 < plate.nx ? static_cast<float>(share * sheet_w_k) : 0;
        plate.gy_w_k[i] = y + 1 < plate.ny ? static_cast<float>(share * sheet_w_k) : 0;
        if (l + 1 < layers) {
          plate.gz_w_k[i] = static_cast<float>(LayerCoupling(layers, through_w_m2k) * area_m2);
        }
      }
    }
  }
}

PlateSolver::PlateSolver(const Plate& plate)
    : plate_(plate), pad_(static_cast<std::size_t>(plate.nx * plate.ny)) {
  const std::size_t n = plate.size();
  const std::size_t padded = n + 2 * pad_;
  const auto pad = [&](const std::vector<float>& from) {
    std::vector<float> to(padded, 0.0F);
    std::copy(from.begin(), from.end(), to.begin() + static_cast<std::ptrdiff_t>(pad_));
    return to;
  };
  gx_ = pad(plate.gx_w_k);
  gy_ = pad(plate.gy_w_k);
  gz_ = pad(plate.gz_w_k);
  loss_ = pad(plate.loss_w_k);
  inverse_.assign(padded, 0.0F);
  const auto nx = static_cast<std::size_t>(plate.nx);
  double fastest_hz = 0;
  for (std::size_t i = pad_; i < pad_ + n; ++i) {
    const float c = plate.capacity_j_k[i - pad_];
    if (c <= 0) continue;
    inverse_[i] = 1 / c;
    const double sum =
        static_cast<double>(gx_[i]) + gx_[i - 1] + gy_[i] + gy_[i - nx] + gz_[i] + gz_[i - pad_];
    fastest_hz = std::max(fastest_hz, (2 * sum + loss_[i]) / c);
    if (!runs_.empty() && runs_.back().end == i) {
      ++runs_.back().end;
    } else {
      runs_.push_back({i, i + 1});
    }
  }
  limit_s_ = fastest_hz > 0 ? 2 / fastest_hz : 1e9;
  state_.assign(n, Lanes{});
  for (auto* v : {&padded_, &one_, &two_, &rate_}) v->assign(padded, Lanes{});
}

Lanes PlateSolver::Flow(const Lanes* at, std::size_t i) const {
  const auto nx = static_cast<std::size_t>(plate_.nx);
  const Lanes t = at[i];
  Lanes sum = gx_[i] * (at[i + 1] - t) + gx_[i - 1] * (at[i - 1] - t);
  sum += gy_[i] * (at[i + nx] - t) + gy_[i - nx] * (at[i - nx] - t);
  sum += gz_[i] * (at[i + pad_] - t) + gz_[i - pad_] * (at[i - pad_] - t);
  return (sum - loss_[i] * t) * inverse_[i];
}

void PlateSolver::AddHeat(std::vector<Lanes>& to,
                          const std::vector<CellHeat>& heat,
                          double factor_s) const {
  for (const auto& h : heat) {
    const auto i = h.cell + pad_;
    to[i][h.lane] += static_cast<float>(h.power_w * factor_s) * inverse_[i];
  }
}

// padded_ is the state at the start, one_ the newest stage, two_ the one before.
void PlateSolver::FirstStage(const Stage& stage, const std::vector<CellHeat>& heat) {
  for (const Run& run : runs_) {
    for (std::size_t i = run.begin; i < run.end; ++i) {
      rate_[i] = Flow(padded_.data(), i);
      two_[i] = padded_[i];
      one_[i] = padded_[i] + stage.mu_dt * rate_[i];
    }
  }
  AddHeat(rate_, heat, 1);
  AddHeat(one_, heat, stage.mu_dt);
}

void PlateSolver::NextStage(const Stage& stage, const std::vector<CellHeat>& heat) {
  for (const Run& run : runs_) {
    for (std::size_t i = run.begin; i < run.end; ++i) {
      two_[i] = stage.mu * one_[i] + stage.nu * two_[i] + stage.rest * padded_[i] +
                stage.mu_dt * Flow(one_.data(), i) + stage.gamma_dt * rate_[i];
    }
  }
  AddHeat(two_, heat, stage.mu_dt);
  std::swap(one_, two_);
}

void PlateSolver::Step(double dt_s, const std::vector<CellHeat>& heat) {
  int stages = 3;
  while (stages * (stages + 1) - 2 < 4.2 * dt_s / limit_s_) stages += 2;
  const double w = 4.0 / (stages * stages + stages - 2);
  const auto b = [](int j) { return j < 2 ? 1.0 / 3 : (j * j + j - 2.0) / (2.0 * j * (j + 1)); };
  std::copy(state_.begin(), state_.end(), padded_.begin() + static_cast<std::ptrdiff_t>(pad_));
  FirstStage({0, 0, 0, static_cast<float>(b(1) * w * dt_s), 0}, heat);
  for (int j = 2; j <= stages; ++j) {
    const double mu = (2.0 * j - 1) / j * b(j) / b(j - 1);
    const double nu = -(j - 1.0) / j * b(j) / b(j - 2);
    const double mu_w = mu * w;
    NextStage({static_cast<float>(mu),
               static_cast<float>(nu),
               static_cast<float>(1 - mu - nu),
               static_cast<float>(mu_w * dt_s),
               static_cast<float>(-(1 - b(j - 1)) * mu_w * dt_s)},
              heat);
  }
  std::copy(one_.begin() + static_cast<std::ptrdiff_t>(pad_),
            one_.end() - static_cast<std::ptrdiff_t>(pad_),
            state_.begin());
}

double PlateSolver::Energy(int lane) const {
  double sum = 0;
  for (std::size_t i = 0; i < state_.size(); ++i) {
    sum += static_cast<double>(plate_.capacity_j_k[i]) * state_[i][lane];
  }
  return sum;
}

double PlateSolver::Loss(int lane) const {
  double sum = 0;
  for (std::size_t i = 0; i < state_.size(); ++i) {
    sum += static_cast<double>(plate_.loss_w_k[i]) * state_[i][lane];
  }
  return sum;
}

}  // namespace ohmglow::simulate
