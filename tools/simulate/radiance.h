// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "drive.h"
#include "ohmglow/base/image.h"
#include "surface.h"

namespace ohmglow::simulate {

/// A warm thing that the shiny places show: a blob that drifts over the board.
struct Reflection {
  double amplitude_k = 0;  ///< In a mirror.
  Point start_mm;
  Point speed_mm_s;
  double sigma_mm = 10;
};

/// The leads' own rise: one lag, heated by the current squared.
class WireWarmth {
 public:
  WireWarmth(double rise_k, const Drive& drive) : rise_k_(rise_k), drive_(drive) {}
  /// Rise at a time not before the last one asked for [K].
  double AdvanceTo(double time_s);
  /// See Drive::Switch(); the time must lie after the last one asked for.
  void Switch(double time_s, double amps) { drive_.Switch(time_s, amps); }

 private:
  double rise_k_;
  Drive drive_;
  double time_s_ = 0;
  double now_k_ = 0;
};

/// Apparent temperature of the scene on the fine grid: emissivity times the
/// true temperature plus the rest times what is reflected (first order of the
/// measurement equation: off by less than 1 % for a few kelvin).
class Radiance {
 public:
  Radiance(const Scenario& scenario, Surface surface, Reflection reflection, const Drive& drive);

  /// @param rise_k  rise over the air on the board's grid, as HeatMarch gives it.
  void Compose(const Image& rise_k, double time_s, Image& scene_k);
  /// Emissivity times a rise, 0 off the board: the signal of one source alone.
  void Signal(const Image& rise_k, Image& scene_k) const;
  [[nodiscard]] const Surface& surface() const { return surface_; }
  void Switch(double time_s, double amps) { wire_.Switch(time_s, amps); }

 private:
  void AddWires(double time_s, double air_k, Image& scene_k);

  Scenario s_;
  Surface surface_;
  Reflection reflection_;
  WireWarmth wire_;
};

}  // namespace ohmglow::simulate
