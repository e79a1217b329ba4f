// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sensor.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::simulate {
namespace {

constexpr double kSlowCorner = 8;  // s, of the slow noise of a pixel.
constexpr double kPattern =
    0.08;  // K, each term of the smooth pattern that a shutter event changes.

}  // namespace

Sensor::Sensor(const Scenario& scenario, int num_frames)
    : s_(scenario),
      size_px_(static_cast<int>(scenario.width_px), static_cast<int>(scenario.height_px)),
      random_(scenario.capture_seed(), "sensor"),
      row_random_(scenario.capture_seed(), "row noise"),
      jump_random_(scenario.capture_seed(), "jump patterns"),
      num_frames_(num_frames) {
  PlanEvents(num_frames);
  PlanFaults(num_frames);
  MarkBadPixels();
  MarkDriftingPixels();
  fixed_k_ = Image(size_px_);
  slow_k_ = Image(size_px_);
  smooth_k_ = Image::zeros(size_px_);
  std::vector<float> columns(static_cast<std::size_t>(size_px_.width));
  for (float& c : columns) c = static_cast<float>(0.6 * s_.fixed_k * random_.Normal());
  for (int y = 0; y < size_px_.height; ++y) {
    for (int x = 0; x < size_px_.width; ++x) {
      fixed_k_(y, x) = static_cast<float>(0.8 * s_.fixed_k * random_.Normal()) +
                       columns[static_cast<std::size_t>(x)];
      slow_k_(y, x) = static_cast<float>(s_.slow_k * random_.Normal());
    }
  }
  NewPattern(kPattern, random_);
}

void Sensor::PlanEvents(int num_frames) {
  Random plan(s_.capture_seed(), "shutter");
  const int count = static_cast<int>(s_.shutter_events);
  for (int k = 0; k < count; ++k) {
    // One in each equal part of the capture, never in its first tenth.
    const double low = num_frames * (0.1 + 0.85 * k / count);
    const double high = num_frames * (0.1 + 0.85 * (k + 0.8) / count);
    const ShutterEvent event{static_cast<int>(plan.Uniform(low, high)), plan.Integer(3, 5)};
    if (event.first >= 1 && event.first + event.length < num_frames) events_.push_back(event);
  }
}

// Jumps and doubled frames, each apart from all other events by a few frames.
void Sensor::PlanFaults(int num_frames) {
  Random plan(s_.capture_seed(), "frame faults");
  const auto free = [this, num_frames](int n) {
    const auto near = [n](int other) { return std::abs(n - other) < 8; };
    return n >= 4 && n < num_frames - 4 && std::none_of(jumps_.begin(), jumps_.end(), near) &&
           std::none_of(doubled_.begin(), doubled_.end(), near) &&
           std::none_of(events_.begin(), events_.end(), [&near](const ShutterEvent& e) {
             return near(e.first) || near(e.first + e.length);
           });
  };
  const auto place = [&](double count, std::vector<int>& where) {
    for (int tries = 0; tries < 1000 && where.size() < static_cast<std::size_t>(count); ++tries) {
      const int n = plan.Integer(0, num_frames - 1);
      if (free(n)) where.push_back(n);
    }
    std::sort(where.begin(), where.end());
  };
  place(s_.jump_events, jumps_);
  place(s_.doubled_frames, doubled_);
}

void Sensor::MarkDriftingPixels() {
  Random random(s_.capture_seed(), "drifting pixels");
  for (int k = 0; k < static_cast<int>(s_.drifting_pixels); ++k) {
    const cv::Point at(random.Integer(0, size_px_.width - 1),
                       random.Integer(0, size_px_.height - 1));
    const bool known = std::any_of(
        bad_.begin(), bad_.end(), [at](const BadPixel& pixel) { return pixel.at == at; });
    const double course_k = s_.pixel_drift_k * (random.Chance(0.5) ? 1 : -1);
    if (known) continue;
    bad_.push_back({at, BadPixel::Kind::kDrifting});
    drift_course_k_.push_back(course_k);
  }
}

void Sensor::MarkBadPixels() {
  for (int k = 0; k < static_cast<int>(s_.bad_pixels); ++k) {
    const cv::Point at(random_.Integer(0, size_px_.width - 1),
                       random_.Integer(0, size_px_.height - 1));
    const bool known = std::any_of(
        bad_.begin(), bad_.end(), [at](const BadPixel& pixel) { return pixel.at == at; });
    if (!known) bad_.push_back({at, static_cast<BadPixel::Kind>(k % 3)});
  }
}

// A plane, a bowl and a saddle over the frame.
void Sensor::NewPattern(double size_k, Random& random) {
  double a[5];
  for (double& v : a) v = size_k * random.Normal();
  for (int y = 0; y < size_px_.height; ++y) {
    const double v = 2.0 * y / (size_px_.height - 1) - 1;
    for (int x = 0; x < size_px_.width; ++x) {
      const double u = 2.0 * x / (size_px_.width - 1) - 1;
      smooth_k_(y, x) =
          static_cast<float>(a[0] * u + a[1] * v + a[2] * u * v + a[3] * u * u + a[4] * v * v);
    }
  }
}

void Sensor::AdvanceSlowNoise() {
  const double keep = std::exp(-1 / (s_.rate_hz * kSlowCorner));
  const double kick = s_.slow_k * std::sqrt(1 - keep * keep);
  if (s_.slow_k > 0) {
    for (float& v : slow_k_) {
      v = static_cast<float>(keep) * v + static_cast<float>(kick * random_.Normal());
    }
  }
  // The common offset: a random walk that is pulled back, and slowly changes speed.
  const double dt = 1 / s_.rate_hz;
  common_speed_k_ += 0.03 * s_.drift_k * std::sqrt(dt) * random_.Normal() -
                     dt * (common_speed_k_ / 5 + common_k_ / 100);
  common_k_ += dt * common_speed_k_;
}

std::uint16_t Sensor::Count(double kelvin) const {
  const double counts = std::round((kelvin - s_.zero_k) / s_.scale_k);
  return static_cast<std::uint16_t>(std::clamp(counts, 0.0, 65535.0));
}

bool Sensor::Frozen(int index) const {
  return std::any_of(events_.begin(), events_.end(), [index](const ShutterEvent& e) {
    return index >= e.first && index < e.first + e.length;
  });
}

void Sensor::Spoil(int index, Counts& counts) {
  std::size_t drifting = 0;
  for (const auto& pixel : bad_) {
    std::uint16_t& value = counts(pixel.at);
    switch (pixel.kind) {
      case BadPixel::Kind::kDead:
        value = 0;
        break;
      case BadPixel::Kind::kStuck:
        value = Count(273.15 + s_.ambient_c + 12);
        break;
      case BadPixel::Kind::kBlinking:
        if (random_.Chance(0.25)) value = Count(s_.zero_k + s_.scale_k * value + 3);
        break;
      case BadPixel::Kind::kDrifting:
        value = Count(s_.zero_k + s_.scale_k * value +
                      drift_course_k_[drifting++] * index / std::max(1, num_frames_ - 1));
        break;
    }
  }
}

void Sensor::Read(int index, const Image& frame_k, Counts& counts) {
  if (Frozen(index)) {
    AdvanceSlowNoise();
    last_.copyTo(counts);
    return;
  }
  if (index > 0 && Frozen(index - 1)) {
    NewPattern(kPattern, random_);
    common_k_ *= 0.3;
  }
  if (std::binary_search(doubled_.begin(), doubled_.end(), index)) {
    AdvanceSlowNoise();
    last_.copyTo(counts);
    return;
  }
  if (std::binary_search(jumps_.begin(), jumps_.end(), index)) NewPattern(kPattern, jump_random_);
  std::vector<double> columns(static_cast<std::size_t>(size_px_.width));
  for (double& c : columns) c = common_k_ + s_.column_k * random_.Normal();
  counts.create(size_px_);
  for (int y = 0; y < size_px_.height; ++y) {
    const double row_k = s_.row_k > 0 ? s_.row_k * row_random_.Normal() : 0;
    for (int x = 0; x < size_px_.width; ++x) {
      const double value = row_k + static_cast<double>(frame_k(y, x)) + fixed_k_(y, x) +
                           smooth_k_(y, x) + slow_k_(y, x) + columns[static_cast<std::size_t>(x)] +
                           s_.netd_k * random_.Normal();
      counts(y, x) = Count(value);
    }
  }
  Spoil(index, counts);
  AdvanceSlowNoise();
  counts.copyTo(last_);
}

}  // namespace ohmglow::simulate
