// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/scene.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::testing {
namespace {

constexpr double kEdgeS = 1e-7;

double AmpsAt(const Steps& steps, double time_s) {
  double amps = 0;
  for (const auto& [start_s, level_a] : steps) {
    if (time_s >= start_s) amps = level_a;
  }
  return amps;
}

SupplyLog LogAt(const Steps& steps, const std::vector<double>& times_s) {
  SupplyLog log;
  for (const double t : times_s) {
    const double amps = AmpsAt(steps, t);
    log.time_s.push_back(t);
    log.amps_a.push_back(amps);
    log.volts_v.push_back(kLogOhm * amps);
  }
  return log;
}

std::vector<double> EvenTimes(double end_s, double row_s) {
  std::vector<double> times_s;
  for (int i = 0; i * row_s <= end_s + 1e-9; ++i) times_s.push_back(i * row_s);
  return times_s;
}

}  // namespace

SupplyLog StepLog(const Steps& steps, double end_s, double row_s) {
  std::vector<double> times_s;
  for (const double t : EvenTimes(end_s, row_s)) {
    const bool at_step = std::any_of(steps.begin(), steps.end(), [t](const auto& step) {
      return std::abs(step.first - t) < 2 * kEdgeS;
    });
    if (!at_step) times_s.push_back(t);
  }
  for (const auto& step : steps) {
    times_s.push_back(step.first - kEdgeS);
    times_s.push_back(step.first);
  }
  std::sort(times_s.begin(), times_s.end());
  return LogAt(steps, times_s);
}

SupplyLog SampledLog(const Steps& steps, double end_s, double row_s) {
  return LogAt(steps, EvenTimes(end_s, row_s));
}

double LagOfSteps(const Steps& steps, double time_s, double tau_s, double exponent) {
  double top_a = 0;
  for (const auto& step : steps) top_a = std::max(top_a, step.second);
  double before = 0;
  double sum = 0;
  for (const auto& [start_s, amps] : steps) {
    const double power = std::pow(amps / top_a, exponent);
    if (time_s > start_s) sum -= (power - before) * std::expm1(-(time_s - start_s) / tau_s);
    before = power;
  }
  return sum;
}

Stack StillStack(
    cv::Size size_px, int num_bins, int frames_per_bin, double frame_s, double level_k) {
  Stack stack;
  for (int b = 0; b < num_bins; ++b) {
    std::vector<double> times_s;
    double mean_s = 0;
    for (int i = 0; i < frames_per_bin; ++i) {
      times_s.push_back((b * frames_per_bin + i) * frame_s);
      mean_s += times_s.back() / frames_per_bin;
    }
    stack.bins_k.emplace_back(size_px, static_cast<float>(level_k));
    stack.time_s.push_back(mean_s);
    stack.num_frames.push_back(frames_per_bin);
    stack.segment.push_back(0);
    stack.frame_times_s.push_back(times_s);
    stack.poses.push_back({Similarity{}});
  }
  stack.seen = Mask(size_px, static_cast<unsigned char>(0));
  stack.seen(cv::Rect(2, 2, size_px.width - 4, size_px.height - 4)) =
      static_cast<unsigned char>(255);
  return stack;
}

void AddNoise(std::mt19937& random, double sigma_k, Stack& stack) {
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    std::normal_distribution<float> noise(
        0, static_cast<float>(sigma_k / std::sqrt(stack.num_frames[b])));
    for (float& value : stack.bins_k[b]) value += noise(random);
  }
}

void AddHeat(const Image& shape, const Steps& steps, double tau_s, double exponent, Stack& stack) {
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    double mean = 0;
    for (const double t : stack.frame_times_s[b]) {
      mean += LagOfSteps(steps, t, tau_s, exponent) / stack.num_frames[b];
    }
    stack.bins_k[b] += mean * shape;
  }
}

Image Blob(cv::Size size_px, Point center_px, double sigma_px) {
  Image blob(size_px);
  for (int y = 0; y < blob.rows; ++y) {
    for (int x = 0; x < blob.cols; ++x) {
      const double r2 = std::pow(x - center_px.x, 2) + std::pow(y - center_px.y, 2);
      blob(y, x) = static_cast<float>(std::exp(-0.5 * r2 / (sigma_px * sigma_px)));
    }
  }
  return blob;
}

Alignment StillAlignment(cv::Size size_px, int num_frames) {
  Alignment alignment;
  alignment.frames.resize(static_cast<std::size_t>(num_frames));
  alignment.good_pixels = Mask(size_px, static_cast<unsigned char>(255));
  alignment.pattern_k = Image(size_px, 0.0F);
  return alignment;
}

}  // namespace ohmglow::testing
