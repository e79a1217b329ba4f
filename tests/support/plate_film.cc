// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/plate_film.h"

#include <algorithm>
#include <cmath>

#include "simulate/plate.h"

namespace ohmglow::testing {
namespace {

constexpr int kLayers = 4;
constexpr double kCellMm = 0.5;
constexpr double kThroughWMK = 0.343;  // Sarvar et al., J. Electron. Mater. 19 (1990) 1345.

simulate::Plate MakeBoard(const PlateSource& source, cv::Size size) {
  simulate::Plate plate(size.width, size.height, kLayers, kCellMm);
  simulate::FillLaminate(plate,
                         0,
                         kLayers,
                         source.sheet_w_k,
                         source.capacity_j_m2k,
                         kThroughWMK / (1e-3 * source.thickness_mm));
  const double cell_m2 = 1e-6 * kCellMm * kCellMm;
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      for (const int face : {0, kLayers - 1}) {
        plate.loss_w_k[plate.Index(x, y, face)] =
            static_cast<float>(0.5 * source.film_w_m2k * cell_m2);
      }
    }
  }
  return plate;
}

std::vector<std::size_t> CellsOf(const PlateSource& source, const simulate::Plate& plate) {
  std::vector<std::size_t> cells;
  for (int y = 0; y < plate.ny; ++y) {
    for (int x = 0; x < plate.nx; ++x) {
      const double r_mm = kCellMm * std::hypot(x - source.center_px.x, y - source.center_px.y);
      if (r_mm <= source.radius_mm) {
        cells.push_back(plate.Index(x, y, source.far ? kLayers - 1 : 0));
      }
    }
  }
  return cells;
}

double PowerAt(const PlateSource& source, const Steps& steps, double time_s) {
  double top_a = 0;
  double amps = 0;
  for (const auto& [start_s, level_a] : steps) {
    top_a = std::max(top_a, level_a);
    if (time_s >= start_s) amps = level_a;
  }
  return source.power_w * std::pow(amps / top_a, source.exponent);
}

}  // namespace

void AddPlate(const PlateSource& source, const Steps& steps, Stack& stack) {
  const cv::Size size = stack.size_px();
  const simulate::Plate plate = MakeBoard(source, size);
  simulate::PlateSolver solver(plate);
  const std::vector<std::size_t> cells = CellsOf(source, plate);
  double now_s = 0;
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    for (const double t : stack.frame_times_s[b]) {
      const double power_w =
          PowerAt(source, steps, 0.5 * (now_s + t)) / static_cast<double>(cells.size());
      std::vector<simulate::CellHeat> heat;
      for (const std::size_t cell : cells) heat.push_back({cell, 0, power_w});
      if (t > now_s) solver.Step(t - now_s, heat);
      now_s = t;
      const auto share = static_cast<float>(1 / stack.num_frames[b]);
      for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
          stack.bins_k[b](y, x) += share * solver.rise_k(plate.Index(x, y, 0), 0);
        }
      }
    }
  }
}

}  // namespace ohmglow::testing
