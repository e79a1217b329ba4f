// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/drive.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "heat/median.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// A change of current smaller than this part of the largest is no step.
constexpr double kStepFraction = 0.02;
// A level must last this long to be listed.
constexpr double kShortestLevelS = 0.8;

double Median(std::vector<double> values) { return MedianOf(values); }

}  // namespace

Drive::Drive(const SupplyLog& log, double clock_offset_s)
    : time_s_(log.time_s), volts_v_(log.volts_v), amps_a_(log.amps_a) {
  if (time_s_.size() < 2) throw DataError("the supply log has fewer than two rows");
  for (double& t : time_s_) t += clock_offset_s;
  // A log of a reversed shunt would read negative: the loss is the same.
  for (double& amps : amps_a_) amps = std::abs(amps);
  // The highest current that lasts: a single wild row must not set the scale.
  std::vector<double> sorted = amps_a_;
  std::sort(sorted.begin(), sorted.end());
  top_amps_a_ = sorted[static_cast<std::size_t>(0.98 * static_cast<double>(sorted.size() - 1))];
  if (top_amps_a_ <= 0 || top_amps_a_ - sorted.front() < kStepFraction * top_amps_a_) {
    throw DataError(
        "the supply log shows no current step; capture again with the current raised in steps "
        "from zero");
  }
}

std::vector<double> Drive::LagResponse(std::span<const double> times_s,
                                       double tau_s,
                                       double exponent) const {
  std::vector<double> drive(amps_a_.size());
  for (std::size_t i = 0; i < drive.size(); ++i) {
    drive[i] = std::pow(amps_a_[i] / top_amps_a_, exponent);
  }
  // Between two rows p = p0 + s t, so y = p - s tau + (y0 - p0 + s tau) exp(-t / tau).
  const auto advance = [tau_s](double y0, double p0, double slope, double dt) {
    return p0 + slope * (dt - tau_s) + (y0 - p0 + slope * tau_s) * std::exp(-dt / tau_s);
  };
  std::vector<double> out(times_s.size());
  double y = drive.front();  // at rest with the current that flowed before the log began
  std::size_t row = 0;
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    while (row + 1 < time_s_.size() && time_s_[row + 1] <= times_s[i]) {
      const double dt = time_s_[row + 1] - time_s_[row];
      y = advance(y, drive[row], (drive[row + 1] - drive[row]) / dt, dt);
      ++row;
    }
    const double dt = times_s[i] - time_s_[row];
    if (dt <= 0) {
      out[i] = y;
    } else if (row + 1 < time_s_.size()) {
      const double slope = (drive[row + 1] - drive[row]) / (time_s_[row + 1] - time_s_[row]);
      out[i] = advance(y, drive[row], slope, dt);
    } else {
      out[i] = advance(y, drive[row], 0, dt);
    }
  }
  return out;
}

std::vector<SupplyLevel> Drive::Levels() const {
  std::vector<SupplyLevel> levels;
  std::size_t begin = 0;
  for (std::size_t i = 1; i <= amps_a_.size(); ++i) {
    const bool ends =
        i == amps_a_.size() || std::abs(amps_a_[i] - amps_a_[i - 1]) > kStepFraction * top_amps_a_;
    if (!ends) continue;
    const std::size_t last = i - 1;
    if (time_s_[last] - time_s_[begin] >= kShortestLevelS) {
      const auto from = static_cast<std::ptrdiff_t>(begin);
      const auto to = static_cast<std::ptrdiff_t>(i);
      SupplyLevel level;
      level.start_s = time_s_[begin];
      level.end_s = i < amps_a_.size() ? time_s_[i] : time_s_[last];
      level.amps_a = Median({amps_a_.begin() + from, amps_a_.begin() + to});
      level.volts_v = Median({volts_v_.begin() + from, volts_v_.begin() + to});
      levels.push_back(level);
    }
    begin = i;
  }
  return levels;
}

double Drive::AmpsAt(double time_s) const {
  const auto after = std::upper_bound(time_s_.begin(), time_s_.end(), time_s);
  if (after == time_s_.begin()) return amps_a_.front();
  return amps_a_[static_cast<std::size_t>(after - time_s_.begin()) - 1];
}

double Drive::top_end_s() const {
  for (std::size_t i = amps_a_.size(); i-- > 0;) {
    if (amps_a_[i] >= (1 - kStepFraction) * top_amps_a_) {
      return i + 1 < time_s_.size() ? time_s_[i + 1] : time_s_[i];
    }
  }
  return time_s_.back();
}

}  // namespace ohmglow
