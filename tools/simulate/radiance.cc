// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "radiance.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::simulate {
namespace {

constexpr double kWireLag = 25;  // s, insulated lead of 0.8 mm2: common practice, no source.
constexpr float kWireEmissivity = 0.9F;
constexpr int kRatio = static_cast<int>(kCellMm / kFineMm);
constexpr int kMargin = static_cast<int>(kMarginMm / kFineMm);

// Value of a coarse grid at a fine cell of the board; bilinear, flat at the rim.
float Upsampled(const Image& coarse, int fine_x, int fine_y) {
  const float u = (static_cast<float>(fine_x) + 0.5F) / kRatio - 0.5F;
  const float v = (static_cast<float>(fine_y) + 0.5F) / kRatio - 0.5F;
  const float px = std::clamp(u, 0.0F, static_cast<float>(coarse.cols - 1));
  const float py = std::clamp(v, 0.0F, static_cast<float>(coarse.rows - 1));
  const int x = std::min(static_cast<int>(px), coarse.cols - 2);
  const int y = std::min(static_cast<int>(py), coarse.rows - 2);
  const float fx = px - static_cast<float>(x);
  const float fy = py - static_cast<float>(y);
  const float upper = coarse(y, x) + fx * (coarse(y, x + 1) - coarse(y, x));
  const float lower = coarse(y + 1, x) + fx * (coarse(y + 1, x + 1) - coarse(y + 1, x));
  return upper + fy * (lower - upper);
}

}  // namespace

double WireWarmth::AdvanceTo(double time_s) {
  while (time_s_ < time_s) {
    const double dt = std::min(0.05, time_s - time_s_);
    const double ratio = drive_.Amps(time_s_) / drive_.top_amps;
    now_k_ += dt / kWireLag * (rise_k_ * ratio * ratio - now_k_);
    time_s_ += dt;
  }
  return now_k_;
}

Radiance::Radiance(const Scenario& scenario,
                   Surface surface,
                   Reflection reflection,
                   const Drive& drive)
    : s_(scenario),
      surface_(std::move(surface)),
      reflection_(reflection),
      wire_(scenario.wire_k * scenario.power_scale, drive) {}

void Radiance::Compose(const Image& rise_k, double time_s, Image& scene_k) {
  const cv::Size size = surface_.emissivity.size();
  scene_k.create(size);
  const double air_k = 273.15 + s_.ambient_c + s_.ambient_drift_k * time_s / s_.seconds;
  const auto air = static_cast<float>(air_k);
  const auto mirror = static_cast<float>(273.15 + s_.ambient_c + s_.reflected_k);
  const auto base = static_cast<float>(s_.base_k);
  const cv::Rect board(kMargin, kMargin, rise_k.cols * kRatio, rise_k.rows * kRatio);
  const Point blob = FineFromBoard(reflection_.start_mm + reflection_.speed_mm_s * time_s);
  const double spread = reflection_.sigma_mm / kFineMm;
  std::vector<float> across(static_cast<std::size_t>(size.width));
  for (int x = 0; x < size.width; ++x) {
    across[static_cast<std::size_t>(x)] = static_cast<float>(
        reflection_.amplitude_k * std::exp(-0.5 * std::pow((x - blob.x) / spread, 2)));
  }
  for (int y = 0; y < size.height; ++y) {
    const auto down = static_cast<float>(std::exp(-0.5 * std::pow((y - blob.y) / spread, 2)));
    for (int x = 0; x < size.width; ++x) {
      float truth = air + base * surface_.warmth(y, x);
      if (board.contains({x, y})) truth += Upsampled(rise_k, x - kMargin, y - kMargin);
      const float shown =
          mirror + surface_.reflectivity_texture(y, x) * down * across[static_cast<std::size_t>(x)];
      const float e = surface_.emissivity(y, x);
      scene_k(y, x) = e * truth + (1 - e) * shown;
    }
  }
  AddWires(time_s, air_k, scene_k);
}

void Radiance::AddWires(double time_s, double air_k, Image& scene_k) {
  if (surface_.wire_paths_mm.empty()) return;
  const auto warm = static_cast<float>(air_k + wire_.AdvanceTo(time_s));
  const auto mirror = static_cast<float>(273.15 + s_.ambient_c + s_.reflected_k);
  const float apparent = kWireEmissivity * warm + (1 - kWireEmissivity) * mirror;
  for (int y = 0; y < scene_k.rows; ++y) {
    for (int x = 0; x < scene_k.cols; ++x) {
      const float cover = surface_.wire(y, x);
      if (cover > 0) scene_k(y, x) += cover * (apparent - scene_k(y, x));
    }
  }
}

void Radiance::Signal(const Image& rise_k, Image& scene_k) const {
  scene_k = Image::zeros(surface_.emissivity.size());
  for (int y = 0; y < rise_k.rows * kRatio; ++y) {
    for (int x = 0; x < rise_k.cols * kRatio; ++x) {
      const float e = surface_.emissivity(y + kMargin, x + kMargin);
      const float cover = 1 - surface_.wire(y + kMargin, x + kMargin);
      scene_k(y + kMargin, x + kMargin) = cover * e * Upsampled(rise_k, x, y);
    }
  }
}

}  // namespace ohmglow::simulate
