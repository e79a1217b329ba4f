// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tone/tone.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLevels = 24;
constexpr std::size_t kPixelsLookedAt = 12000;

void Require(bool holds, const char* field, double value, const char* rule) {
  if (holds) return;
  throw OptionError(std::string("ToneOptions::") + field + " = " + std::to_string(value) + ": " +
                    rule);
}

// Quantiles at even steps from low_share to high_share; empty where too little is seen.
std::vector<double> LevelsOf(const Image& frame, const ToneOptions& options) {
  const std::size_t stride = (frame.total() / kPixelsLookedAt) | 1U;
  std::vector<float> values;
  for (std::size_t i = 0; i < frame.total(); i += stride) {
    const float value = frame(static_cast<int>(i) / frame.cols, static_cast<int>(i) % frame.cols);
    if (std::isfinite(value)) values.push_back(value);
  }
  if (values.size() < 4 * kLevels) return {};
  std::sort(values.begin(), values.end());
  std::vector<double> levels;
  for (std::size_t i = 0; i < kLevels; ++i) {
    const double share = options.low_share + (options.high_share - options.low_share) *
                                                 static_cast<double>(i) / (kLevels - 1);
    const double at = share * static_cast<double>(values.size() - 1);
    // Equal counts of a coarse scale are parted by where in their run a quantile falls.
    const auto first =
        std::lower_bound(values.begin(), values.end(), values[static_cast<std::size_t>(at)]);
    const auto last = std::upper_bound(first, values.end(), *first);
    const double below = first == values.begin() ? static_cast<double>(*first) : *(first - 1);
    const double above = last == values.end() ? static_cast<double>(*first) : *last;
    const double inside = (at - static_cast<double>(first - values.begin()) + 0.5) /
                          static_cast<double>(last - first);
    const auto value = static_cast<double>(*first);
    levels.push_back(inside < 0.5 ? value - (0.5 - inside) * (value - below)
                                  : value + (inside - 0.5) * (above - value));
  }
  return levels;
}

// The line through (x, y) that most points lie near.
Tone RobustLine(const std::vector<double>& x, const std::vector<double>& y) {
  std::vector<double> weight(x.size(), 1);
  Tone line;
  for (int round = 0; round < 8; ++round) {
    double w = 0, mean_x = 0, mean_y = 0, xx = 0, xy = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
      w += weight[i];
      mean_x += weight[i] * x[i];
      mean_y += weight[i] * y[i];
    }
    mean_x /= w;
    mean_y /= w;
    for (std::size_t i = 0; i < x.size(); ++i) {
      xx += weight[i] * (x[i] - mean_x) * (x[i] - mean_x);
      xy += weight[i] * (x[i] - mean_x) * (y[i] - mean_y);
    }
    line.gain = xx > 0 && xy > 0 ? xy / xx : 1;
    line.zero = mean_y - line.gain * mean_x;
    // Least absolute deviations, by reweighting.
    double scale = 1e-9;
    for (std::size_t i = 0; i < x.size(); ++i) {
      scale += std::abs(y[i] - line.zero - line.gain * x[i]) / static_cast<double>(x.size());
    }
    for (std::size_t i = 0; i < x.size(); ++i) {
      weight[i] = 1 / std::max(0.2 * scale, std::abs(y[i] - line.zero - line.gain * x[i]));
    }
  }
  return line;
}

}  // namespace

void ToneOptions::Validate() const {
  Require(low_share >= 0 && low_share < high_share,
          "low_share",
          low_share,
          "must lie in [0, high_share)");
  Require(high_share <= 1, "high_share", high_share, "must be <= 1");
  Require(grid_px >= 1, "grid_px", grid_px, "must be >= 1");
  Require(blur_px > 0, "blur_px", blur_px, "must be > 0");
  Require(around >= 3 && around % 2 == 1, "around", around, "must be odd and >= 3");
  Require(rounds >= 1, "rounds", rounds, "must be >= 1");
}

Tones MatchLevels(FrameSource& frames, const ToneOptions& options) {
  options.Validate();
  Tones tones;
  std::vector<double> reference;
  Image frame;
  for (int n = 0; n < frames.count(); ++n) {
    frames.Read(n, frame);
    const std::vector<double> levels = LevelsOf(frame, options);
    if (reference.empty()) reference = levels;
    const bool told = !levels.empty() && !reference.empty();
    tones.of_frame.push_back(told ? RobustLine(reference, levels) : Tone{});
  }
  return tones;
}

TonedFrames::TonedFrames(FrameSource& source, Tones tones, Mask marks)
    : source_(source), tones_(std::move(tones)), marks_(std::move(marks)) {}

void TonedFrames::Read(int index, Image& values) {
  source_.Read(index, values);
  const Tone& tone = tones_.of_frame.at(static_cast<std::size_t>(index));
  const double per_gain = 1 / tone.gain;
  for (int y = 0; y < values.rows; ++y) {
    float* const row = values[y];
    for (int x = 0; x < values.cols; ++x) {
      row[x] = static_cast<float>(per_gain * (static_cast<double>(row[x]) - tone.zero));
    }
  }
  if (!marks_.empty()) values.setTo(std::numeric_limits<float>::quiet_NaN(), marks_);
}

}  // namespace ohmglow
