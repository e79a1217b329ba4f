// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "object.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "random.h"

namespace ohmglow::simulate {
namespace {

constexpr double kComes_s = 0.4;  // As long takes its leaving.

// How far it is in, 0 .. 1.
double Reach(const Scenario& s, double time_s) {
  const double since_s = time_s - s.object_begin_s;
  const double left_s = s.object_hold_s - since_s;
  return std::clamp(std::min(since_s, left_s) / kComes_s, 0.0, 1.0);
}

}  // namespace

double HoldObject(const Scenario& s, double time_s, Image& frame_k) {
  const double reach = Reach(s, time_s);
  if (reach <= 0) return 0;
  Random random(s.capture_seed(), "object");
  const int edge = random.Integer(0, 3);
  const double across = random.Uniform(0.25, 0.75);
  const double sway = 0.05 * std::sin(2 * std::numbers::pi * (time_s / 1.3 + random.Uniform()));
  const double half_px = 0.5 * s.object_share * s.width_px;
  const bool sideways = edge < 2;  // Comes from the left or the right.
  const double along_px = sideways ? s.width_px : s.height_px;
  const double tip_px = reach * (0.45 + 0.4 * random.Uniform() + sway) * along_px;
  const double axis_px = (across + sway) * (sideways ? s.height_px : s.width_px);
  const double own_k = 273.15 + s.ambient_c + s.object_k;
  double covered = 0;
  for (int y = 0; y < frame_k.rows; ++y) {
    for (int x = 0; x < frame_k.cols; ++x) {
      const double in_px = sideways ? x : y;
      const double from_edge_px = edge % 2 == 0 ? in_px : along_px - 1 - in_px;
      const double off_px = (sideways ? y : x) - axis_px;
      const double past_px = std::max(0.0, from_edge_px - (tip_px - half_px));
      const double inside_px = half_px - std::hypot(off_px, past_px);
      const double cover = 0.5 * (1 + std::erf(inside_px / (std::numbers::sqrt2 * s.blur_px)));
      float& v = frame_k(y, x);
      v += static_cast<float>(cover * (own_k - static_cast<double>(v)));
      covered += cover;
    }
  }
  return covered / static_cast<double>(frame_k.total());
}

}  // namespace ohmglow::simulate
