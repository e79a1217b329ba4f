// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "optics.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "surface.h"

namespace ohmglow::simulate {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180.0;

cv::Matx33d Turn(double angle_rad) {
  const double c = std::cos(angle_rad);
  const double s = std::sin(angle_rad);
  return {c, -s, 0, s, c, 0, 0, 0, 1};
}

float Sample(const Image& scene, float u, float v) {
  u = std::clamp(u, 0.0F, static_cast<float>(scene.cols) - 1.001F);
  v = std::clamp(v, 0.0F, static_cast<float>(scene.rows) - 1.001F);
  const int x = static_cast<int>(u);
  const int y = static_cast<int>(v);
  const float fx = u - static_cast<float>(x);
  const float fy = v - static_cast<float>(y);
  const float* a = scene[y] + x;
  const float* b = scene[y + 1] + x;
  const float upper = a[0] + fx * (a[1] - a[0]);
  const float lower = b[0] + fx * (b[1] - b[0]);
  return upper + fy * (lower - upper);
}

}  // namespace

PlaneMap FrameFromBoard(const View& view) {
  const double focal_px = 0.5 * view.size_px.width / std::tan(0.5 * view.fov_deg * kRadPerDeg);
  const double distance_mm = focal_px * view.mm_per_pixel;
  const double sign = view.mirrored ? -1 : 1;
  const cv::Matx33d to_center(sign, 0, -sign * view.center_mm.x, 0, 1, -view.center_mm.y, 0, 0, 1);
  const double c = std::cos(view.tilt_deg * kRadPerDeg);
  const double s = std::sin(view.tilt_deg * kRadPerDeg);
  // A plane point (x, y), tilted about the y axis: (c x, y, distance + s x).
  const cv::Matx33d tilt(c, 0, 0, 0, 1, 0, s, 0, distance_mm);
  const double direction = view.tilt_direction_deg * kRadPerDeg;
  const cv::Matx33d lens(focal_px,
                         0,
                         0.5 * (view.size_px.width - 1),
                         0,
                         focal_px,
                         0.5 * (view.size_px.height - 1),
                         0,
                         0,
                         1);
  const cv::Matx33d h = lens * Turn(direction) * tilt * Turn(-direction) *
                        Turn(view.rotation_deg * kRadPerDeg) * to_center;
  return PlaneMap{h * (1 / h(2, 2))};
}

Optics::Optics(cv::Size size_px, double blur_px) : size_px_(size_px) {
  const double sigma = blur_px * kOver;
  reach_ = static_cast<int>(std::ceil(3.5 * sigma));
  kernel_.assign(static_cast<std::size_t>(kOver + 2 * reach_), 0.0F);
  double sum = 0;
  for (int k = -reach_; k <= reach_; ++k) sum += kOver * std::exp(-0.5 * k * k / (sigma * sigma));
  for (int k = -reach_; k <= reach_; ++k) {
    const double weight = std::exp(-0.5 * k * k / (sigma * sigma)) / sum;
    for (int box = 0; box < kOver; ++box) {
      kernel_[static_cast<std::size_t>(k + reach_ + box)] += static_cast<float>(weight);
    }
  }
}

void Optics::Draw(const Image& scene, const PlaneMap& frame_from_board, Image& frame) const {
  const int cols = size_px_.width * kOver + 2 * reach_;
  const int rows = size_px_.height * kOver + 2 * reach_;
  // Sample (i, j) lies at frame pixel (i - reach_ - 1) / 3: the middle one of a
  // pixel's three is its centre.
  const double step = 1.0 / kOver;
  const double start = -(reach_ + 1) * step;
  const cv::Matx33d fine(1 / kFineMm,
                         0,
                         kMarginMm / kFineMm - 0.5,
                         0,
                         1 / kFineMm,
                         kMarginMm / kFineMm - 0.5,
                         0,
                         0,
                         1);
  const cv::Matx33d sample(step, 0, start, 0, step, start, 0, 0, 1);
  const cv::Matx33d h = fine * frame_from_board.Inverse().matrix * sample;
  Image narrow(rows, size_px_.width);
  std::vector<float> line(static_cast<std::size_t>(cols));
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < cols; ++i) {
      const double w = 1 / (h(2, 0) * i + h(2, 1) * j + h(2, 2));
      line[static_cast<std::size_t>(i)] =
          Sample(scene,
                 static_cast<float>((h(0, 0) * i + h(0, 1) * j + h(0, 2)) * w),
                 static_cast<float>((h(1, 0) * i + h(1, 1) * j + h(1, 2)) * w));
    }
    for (int x = 0; x < size_px_.width; ++x) {
      const float* from = line.data() + static_cast<std::ptrdiff_t>(x) * kOver;
      float sum = 0;
      for (std::size_t k = 0; k < kernel_.size(); ++k) sum += kernel_[k] * from[k];
      narrow(j, x) = sum;
    }
  }
  frame.create(size_px_);
  for (int y = 0; y < size_px_.height; ++y) {
    float* to = frame[y];
    std::fill(to, to + size_px_.width, 0.0F);
    for (std::size_t k = 0; k < kernel_.size(); ++k) {
      const float* from = narrow[y * kOver + static_cast<int>(k)];
      for (int x = 0; x < size_px_.width; ++x) to[x] += kernel_[k] * from[x];
    }
  }
}

}  // namespace ohmglow::simulate
