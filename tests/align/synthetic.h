// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <random>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow::testing {

/// A scene known at every place, so that motion is never made by interpolating
/// a rendered frame: many soft spots of both signs on a slope.
class AnalyticScene {
 public:
  AnalyticScene(cv::Size size, unsigned seed) : size_(size) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int i = 0; i < size.area() / 120; ++i) {
      spots_.push_back({unit(random) * (size.width + 60) - 30,
                        unit(random) * (size.height + 60) - 30,
                        1.2 + 1.2 * unit(random),
                        unit(random) < 0.5 ? 0.5 : -0.4});
    }
  }

  /// The frame seen where `motion` maps the reference to it.
  [[nodiscard]] Image Render(const Similarity& motion) const {
    return RenderMapped(ToPlaneMap(motion, size_));
  }

  /// The same for a map of pixels that may have perspective.
  [[nodiscard]] Image RenderMapped(const PlaneMap& motion) const {
    const PlaneMap back = motion.Inverse();
    Image image(size_, 300.0F);
    for (const Spot& s : spots_) {
      const Point center = motion.Apply({s.x, s.y});
      const int reach = static_cast<int>(4 * s.width) + 2;
      const int cx = static_cast<int>(std::lround(center.x));
      const int cy = static_cast<int>(std::lround(center.y));
      for (int r = std::max(cy - reach, 0); r <= std::min(cy + reach, size_.height - 1); ++r) {
        for (int c = std::max(cx - reach, 0); c <= std::min(cx + reach, size_.width - 1); ++c) {
          const Point p = back.Apply(Point(c, r));
          const double q =
              ((p.x - s.x) * (p.x - s.x) + (p.y - s.y) * (p.y - s.y)) / (s.width * s.width);
          image(r, c) += static_cast<float>(s.height_k * std::exp(-0.5 * q));
        }
      }
    }
    return image;
  }

 private:
  struct Spot {
    double x, y, width, height_k;
  };
  cv::Size size_;
  std::vector<Spot> spots_;
};

inline void AddNoise(std::mt19937& random, double sigma_k, Image& image) {
  std::normal_distribution<float> noise(0, static_cast<float>(sigma_k));
  for (float& v : image) v += noise(random);
}

/// Rms distance over the frame between what two motions do.
inline double MotionDistance(const Similarity& a, const Similarity& b, cv::Size size) {
  double sum = 0;
  int n = 0;
  for (double y = 0.1; y < 1; y += 0.2) {
    for (double x = 0.1; x < 1; x += 0.2) {
      const Point p(x * size.width, y * size.height);
      const Point d = a.Apply(p, size) - b.Apply(p, size);
      sum += d.dot(d);
      ++n;
    }
  }
  return std::sqrt(sum / n);
}

}  // namespace ohmglow::testing
