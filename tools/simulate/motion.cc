// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "motion.h"

#include <array>
#include <cmath>
#include <numbers>

#include "random.h"

namespace ohmglow::simulate {
namespace {

// A sum of swings of unit-like size with frequencies in a band.
class Swing {
 public:
  Swing(double low_hz, double high_hz, Random& random) {
    for (auto& part : parts_) {
      part = {random.Uniform(low_hz, high_hz),
              random.Uniform(0, 2 * std::numbers::pi),
              random.Uniform(0.3, 0.7)};
    }
  }
  double At(double time_s) const {
    double sum = 0;
    for (const auto& p : parts_) {
      sum += p[2] * std::sin(2 * std::numbers::pi * p[0] * time_s + p[1]);
    }
    return sum;
  }

 private:
  std::array<std::array<double, 3>, 3> parts_;
};

class Holder {
 public:
  Holder(const Scenario& s, Random& random)
      : kind_(s.motion),
        size_(s.motion_px),
        slow_x_(0.03, 0.25, random),
        slow_y_(0.03, 0.25, random),
        fast_x_(0.2, 0.6, random),
        fast_y_(0.2, 0.6, random),
        tremor_x_(6, 9, random),
        tremor_y_(6, 9, random),
        turn_(0.05, 0.4, random),
        zoom_(0.05, 0.4, random),
        knock_s_(random.Uniform(0.25, 0.85) * s.seconds),
        angle_(random.Uniform(0, 2 * std::numbers::pi)),
        knock_deg_(random.Uniform(-0.3, 0.3)) {}

  Similarity At(double t) const {
    if (kind_ == "arm") return Arm(t);
    if (kind_ == "hand") return Hand(t);
    Similarity m{0.01 * fast_x_.At(t), 0.01 * fast_y_.At(t), 0, 1};
    if (kind_ == "bump" && t > knock_s_) {
      const double since = t - knock_s_;
      const double ring = 1 - std::exp(-since / 0.5) * std::cos(2 * std::numbers::pi * 2.5 * since);
      m.dx_px += size_ * ring * std::cos(angle_);
      m.dy_px += size_ * ring * std::sin(angle_);
      m.rotation_deg = knock_deg_ * ring;
    }
    return m;
  }

 private:
  Similarity Arm(double t) const {
    return {size_ * (0.5 * slow_x_.At(t) + 0.12 * fast_x_.At(t)) + 0.01 * size_ * t,
            size_ * (0.5 * slow_y_.At(t) + 0.12 * fast_y_.At(t)),
            0.02 * turn_.At(t),
            1};
  }
  Similarity Hand(double t) const {
    return {size_ * (slow_x_.At(t) + 0.15 * fast_x_.At(t)) + 0.06 * tremor_x_.At(t),
            size_ * (slow_y_.At(t) + 0.15 * fast_y_.At(t)) + 0.06 * tremor_y_.At(t),
            0.3 * turn_.At(t),
            1 + 0.003 * zoom_.At(t)};
  }

  std::string kind_;
  double size_;
  Swing slow_x_, slow_y_, fast_x_, fast_y_, tremor_x_, tremor_y_, turn_, zoom_;
  double knock_s_, angle_, knock_deg_;
};

}  // namespace

std::vector<Similarity> MakeMotion(const Scenario& s, const std::vector<double>& times_s) {
  Random random(s.capture_seed(), "motion");
  const Holder holder(s, random);
  std::vector<Similarity> all;
  all.reserve(times_s.size());
  const Similarity first = holder.At(times_s.front());
  for (const double t : times_s) {
    const Similarity m = holder.At(t);
    all.push_back({m.dx_px - first.dx_px,
                   m.dy_px - first.dy_px,
                   m.rotation_deg - first.rotation_deg,
                   m.scale / first.scale});
  }
  return all;
}

std::vector<cv::Vec2d> MakeTiltSway(const Scenario& s, const std::vector<double>& times_s) {
  if (!(s.tilt_sway_deg > 0)) return {};
  Random random(s.capture_seed(), "tilt sway");
  const Swing x(0.03, 0.25, random);
  const Swing y(0.03, 0.25, random);
  std::vector<cv::Vec2d> all;
  const cv::Vec2d first(x.At(times_s.front()), y.At(times_s.front()));
  for (const double t : times_s) {
    all.push_back(s.tilt_sway_deg * (cv::Vec2d(x.At(t), y.At(t)) - first));
  }
  return all;
}

}  // namespace ohmglow::simulate
