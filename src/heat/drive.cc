// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/drive.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <optional>
#include <utility>

#include "base/median.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// A change of current smaller than this part of the largest is no step.
constexpr double kStepFraction = 0.02;
// A level must last this long to be listed.
constexpr double kShortestLevelS = 0.8;

// Volts below this part of the largest: the output was off.
constexpr double kAboutZero = 0.05;
// Less is what a meter reads with nothing connected.
constexpr double kLeastVolts = 0.05;

// Rows further apart than this many usual ones, or than this, leave a gap.
constexpr double kGapOfRows = 5;
constexpr double kLongestRampS = 3;
// Width of an edge where the current is held until the next row.
constexpr double kEdgeS = 1e-6;
// Two times that differ by rounding alone.
constexpr double kSameS = 1e-11;

double Median(std::vector<double> values) { return MedianOf(values); }

// Volts from about zero to some; one reading of zero may be a lost one.
std::optional<std::pair<double, double>> VoltsThatStep(const std::vector<double>& volts_v) {
  std::vector<double> sizes_v;
  for (const double volts : volts_v) {
    if (std::isfinite(volts)) sizes_v.push_back(std::abs(volts));
  }
  if (sizes_v.size() < 3) return std::nullopt;
  std::sort(sizes_v.begin(), sizes_v.end());
  const double least_v = sizes_v[1];
  const double most_v = sizes_v.back();
  if (!(most_v > kLeastVolts && least_v < kAboutZero * most_v)) return std::nullopt;
  return std::pair(least_v, most_v);
}

}  // namespace

Drive::Drive(const SupplyLog& log, double clock_offset_s, std::optional<TimeSpan> frames)
    : time_s_(log.time_s), volts_v_(log.volts_v), amps_a_(log.amps_a) {
  if (time_s_.size() < 2) throw DataError("the supply log has fewer than two rows");
  for (double& t : time_s_) t += clock_offset_s;
  // A log of a reversed shunt would read negative: the loss is the same.
  for (double& amps : amps_a_) amps = std::abs(amps);
  std::vector<double> steps_s;
  for (std::size_t i = 1; i < time_s_.size(); ++i) steps_s.push_back(time_s_[i] - time_s_[i - 1]);
  const double row_s = MedianOf(steps_s);
  HoldInGaps(row_s);
  const bool changes = HasStep(LastingTop(row_s));
  if (frames) {
    first_frame_s_ = frames->first_s;
    EndAt(frames->last_s);
  }
  top_amps_a_ = LastingTop(row_s);
  if (HasStep(top_amps_a_)) return;
  if (changes) {
    throw DataError(
        "the supply log shows no step of the current while the frames were taken; compare the "
        "times of log and frames, or set clock_offset_s in [supply]");
  }
  if (const auto volts = VoltsThatStep(volts_v_); volts && top_amps_a_ > 0) {
    char text[300];
    std::snprintf(text,
                  sizeof text,
                  "the supply log's volts go from %.3g to %.3g V while its amps stay at %.3g A, as "
                  "no wire does: the two columns are swapped, or the amps are the limit that was "
                  "set; name the measured ones with columns in [supply]",
                  volts->first,
                  volts->second,
                  top_amps_a_);
    throw DataError(text);
  }
  throw DataError(
      "the supply log shows no current step; capture again with the current raised in steps "
      "from zero");
}

bool Drive::HasStep(double top_a) const {
  const double least_a = *std::min_element(amps_a_.begin(), amps_a_.end());
  return top_a > 0 && top_a - least_a >= kStepFraction * top_a;
}

// A log with rows at changes alone, or with rows missing: between them the
// current stood, it did not ramp.
void Drive::HoldInGaps(double row_s) {
  const double longest_s = std::min(kGapOfRows * row_s, kLongestRampS);
  for (std::size_t i = time_s_.size() - 1; i > 0; --i) {
    if (time_s_[i] - time_s_[i - 1] <= longest_s || amps_a_[i] == amps_a_[i - 1]) continue;
    const auto at = static_cast<std::ptrdiff_t>(i);
    time_s_.insert(time_s_.begin() + at, time_s_[i] - kEdgeS);
    amps_a_.insert(amps_a_.begin() + at, amps_a_[i - 1]);
    volts_v_.insert(volts_v_.begin() + at, volts_v_[i - 1]);
  }
}

void Drive::EndAt(double time_s) {
  const auto after = std::upper_bound(time_s_.begin(), time_s_.end(), time_s) - time_s_.begin();
  const auto row = static_cast<std::size_t>(after);
  // A log that begins after the last frame stays: its first current held all along.
  if (row == 0 || row == time_s_.size()) return;
  const double share = (time_s - time_s_[row - 1]) / (time_s_[row] - time_s_[row - 1]);
  const auto between = [&](const std::vector<double>& values) {
    return (1 - share) * values[row - 1] + share * values[row];
  };
  const double amps_a = between(amps_a_);
  const double volts_v = between(volts_v_);
  for (std::vector<double>* values : {&time_s_, &amps_a_, &volts_v_}) values->resize(row);
  if (time_s <= time_s_.back()) return;
  time_s_.push_back(time_s);
  amps_a_.push_back(amps_a);
  volts_v_.push_back(volts_v);
}

double Drive::MedianFrom(std::size_t row, double window_s) const {
  const double end_s = time_s_[row] + window_s;
  std::vector<std::pair<double, double>> held;  // amps, how long
  double total_s = 0;
  for (std::size_t i = row; i < time_s_.size() && time_s_[i] < end_s; ++i) {
    const double until_s = i + 1 < time_s_.size() ? std::min(time_s_[i + 1], end_s) : end_s;
    held.emplace_back(amps_a_[i], until_s - time_s_[i]);
    total_s += held.back().second;
  }
  std::sort(held.begin(), held.end());
  double passed_s = 0;
  for (const auto& [amps, span_s] : held) {
    passed_s += span_s;
    if (passed_s >= 0.5 * total_s) return amps;
  }
  return held.back().first;
}

// The highest current that lasts: a single wild row must not set the scale.
double Drive::LastingTop(double row_s) const {
  const double window_s = std::clamp(2.5 * row_s, kShortestLevelS, kLongestRampS);
  double highest_a = 0;
  for (std::size_t i = 0; i < time_s_.size(); ++i) {
    const bool cut = i > 0 && time_s_[i] + window_s > time_s_.back();
    const bool ended = i + 1 < time_s_.size() && time_s_[i + 1] <= first_frame_s_;
    if (!cut && !ended) highest_a = std::max(highest_a, MedianFrom(i, window_s));
  }
  // The whole level together reads it better than its highest window.
  std::vector<double> level;
  for (std::size_t i = 0; i < time_s_.size(); ++i) {
    if (time_s_[i] < first_frame_s_) continue;
    if (std::abs(amps_a_[i] - highest_a) <= kStepFraction * highest_a) level.push_back(amps_a_[i]);
  }
  return level.empty() ? highest_a : MedianOf(level);
}

std::vector<double> Drive::LagResponse(std::span<const double> times_s,
                                       double tau_s,
                                       double exponent) const {
  std::vector<double> out(times_s.size());
  LagResponses(times_s,
               Eigen::VectorXd::Constant(1, tau_s),
               {&exponent, 1},
               [&](std::size_t i, const Eigen::ArrayXXd& y) { out[i] = y(0, 0); });
  return out;
}

Eigen::ArrayXXd Drive::PowersOf(std::span<const double> exponents) const {
  Eigen::ArrayXXd power(static_cast<Eigen::Index>(exponents.size()),
                        static_cast<Eigen::Index>(amps_a_.size()));
  for (Eigen::Index row = 0; row < power.cols(); ++row) {
    const double share = amps_a_[static_cast<std::size_t>(row)] / top_amps_a_;
    for (Eigen::Index e = 0; e < power.rows(); ++e) {
      const double exponent = exponents[static_cast<std::size_t>(e)];
      power(e, row) = exponent == 2 ? share * share : std::pow(share, exponent);
    }
  }
  return power;
}

void Drive::LagResponses(
    std::span<const double> times_s,
    const Eigen::VectorXd& lags_s,
    std::span<const double> exponents,
    const std::function<void(std::size_t, const Eigen::ArrayXXd&)>& take) const {
  const Eigen::ArrayXXd power = PowersOf(exponents);
  const Eigen::ArrayXd tau = lags_s.array();
  // At rest with the current that flowed before the log began.
  Eigen::ArrayXXd y = power.col(0).transpose().replicate(tau.size(), 1);
  Eigen::ArrayXXd ahead(y.rows(), y.cols());
  // Between two rows p = p0 + s t, so y = p - s tau + (y0 - p0 + s tau) exp(-t / tau).
  const auto advance =
      [&](std::size_t row, double dt, const Eigen::ArrayXd& left, Eigen::ArrayXXd& to) {
        const auto from = static_cast<Eigen::Index>(row);
        const double row_s = row + 1 < time_s_.size() ? time_s_[row + 1] - time_s_[row] : 0;
        for (Eigen::Index e = 0; e < y.cols(); ++e) {
          const double p0 = power(e, from);
          const double slope = row_s > 0 ? (power(e, from + 1) - p0) / row_s : 0;
          to.col(e) = p0 + slope * (dt - tau) + (y.col(e) - p0 + slope * tau) * left;
        }
      };
  // Most rows are as far apart as the two before: the dearest part of all this
  // is the exponential.
  double usual_dt = -1;
  Eigen::ArrayXd usual_left;
  std::size_t row = 0;
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    while (row + 1 < time_s_.size() && time_s_[row + 1] <= times_s[i]) {
      const double dt = time_s_[row + 1] - time_s_[row];
      if (std::abs(dt - usual_dt) > kSameS) {
        usual_dt = dt;
        usual_left = (-dt / tau).exp();
      }
      advance(row, dt, usual_left, y);
      ++row;
    }
    const double dt = times_s[i] - time_s_[row];
    if (dt <= 0) {
      take(i, y);
      continue;
    }
    advance(row, dt, (-dt / tau).exp(), ahead);
    take(i, ahead);
  }
}

std::vector<SupplyLevel> Drive::Levels() const {
  std::vector<SupplyLevel> levels;
  std::size_t begin = 0;
  for (std::size_t i = 1; i <= amps_a_.size(); ++i) {
    const bool ends =
        i == amps_a_.size() || std::abs(amps_a_[i] - amps_a_[i - 1]) > kStepFraction * top_amps_a_;
    if (!ends) continue;
    const std::size_t last = i - 1;
    const double end_s = i < amps_a_.size() ? time_s_[i] : time_s_[last];
    if (end_s > first_frame_s_ && time_s_[last] - time_s_[begin] >= kShortestLevelS) {
      const auto from = static_cast<std::ptrdiff_t>(begin);
      const auto to = static_cast<std::ptrdiff_t>(i);
      SupplyLevel level;
      level.start_s = time_s_[begin];
      level.end_s = end_s;
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
