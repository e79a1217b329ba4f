// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/supply_budget.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>

namespace ohmglow {
namespace {

// Levels below this part of the highest say little and hold the supply's own error.
constexpr double kLeastLevel = 0.04;
// Readings of one level differ by less than this part of the highest current.
constexpr double kSameLevel = 0.03;
// A level that counts lasts this many rows.
constexpr int kLeastRows = 2;
// Highest level over the lowest, for a line.
constexpr double kLeastSpan = 1.5;
// Error of a bench supply's zero (common practice, no source).
constexpr double kZeroErrorV = 0.015;
// Forward drops: a leaky or Schottky junction to a power diode (common practice, no source).
constexpr double kLeastDropV = 0.1;
constexpr double kMostDropV = 1.2;
constexpr double kMostLogRatio = 6;
// Heat of a junction against drop times amps: the drop falls as it warms, and
// some stays in its leads.
constexpr double kDropLogSigma = 0.05;
constexpr double kSureSigmas = 2;

struct Level {
  double amps_a = 0;
  double volts_v = 0;
  double sigma_v = 0;
};

struct Row {
  double amps_a;
  double volts_v;
};

// Smallest difference between two readings of the volts: the last digit shown.
double StepOf(std::vector<double> volts_v) {
  std::erase_if(volts_v, [](double value) { return !std::isfinite(value); });
  std::sort(volts_v.begin(), volts_v.end());
  double step_v = 0;
  for (std::size_t i = 1; i < volts_v.size(); ++i) {
    const double gap_v = volts_v[i] - volts_v[i - 1];
    if (gap_v > 1e-9 && (step_v == 0 || gap_v < step_v)) step_v = gap_v;
  }
  return step_v;
}

// A reading that does not flicker is as wrong as its last digit, however often it is read.
Level LevelOf(std::vector<Row>::const_iterator from,
              std::vector<Row>::const_iterator to,
              double step_v) {
  const auto n = static_cast<double>(to - from);
  Level level;
  for (auto row = from; row != to; ++row) {
    level.amps_a += row->amps_a / n;
    level.volts_v += row->volts_v / n;
  }
  double square = 0;
  for (auto row = from; row != to; ++row) square += std::pow(row->volts_v - level.volts_v, 2);
  level.sigma_v = std::max(step_v / std::sqrt(12.0), std::sqrt(square / (n * (n - 1))));
  return level;
}

std::vector<Level> LevelsOf(const SupplyLog& log, double top_amps_a) {
  std::vector<Row> rows;
  for (std::size_t i = 0; i < log.amps_a.size(); ++i) {
    const double amps_a = std::abs(log.amps_a[i]);
    if (amps_a > kLeastLevel * top_amps_a && amps_a < (1 + kSameLevel) * top_amps_a &&
        std::isfinite(log.volts_v[i])) {
      rows.push_back({amps_a, std::abs(log.volts_v[i])});
    }
  }
  const double step_v = StepOf(log.volts_v);
  std::sort(
      rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.amps_a < b.amps_a; });
  std::vector<Level> levels;
  auto from = rows.cbegin();
  for (auto row = rows.cbegin(); row != rows.cend(); ++row) {
    const auto next = row + 1;
    if (next != rows.cend() && next->amps_a - row->amps_a < kSameLevel * top_amps_a) continue;
    if (next - from >= kLeastRows) levels.push_back(LevelOf(from, next, step_v));
    from = next;
  }
  return levels;
}

double NormalDensity(double x, double sigma) {
  return std::exp(-0.5 * x * x / (sigma * sigma)) / (sigma * std::sqrt(2 * M_PI));
}

double NormalBelow(double x, double sigma) { return 0.5 * std::erfc(-x / (sigma * M_SQRT2)); }

bool IsJunction(const Spot& spot) { return spot.course.log_junction > kJunctionLogRatio; }

}  // namespace

std::optional<SupplyPath> ReadSupplyPath(const SupplyLog& log, double top_amps_a) {
  if (log.volts_v.size() != log.amps_a.size()) return std::nullopt;
  const std::vector<Level> levels = LevelsOf(log, top_amps_a);
  if (levels.size() < 2 || levels.back().amps_a < kLeastSpan * levels.front().amps_a) {
    return std::nullopt;
  }
  double s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (const Level& level : levels) {
    const double weight = 1 / std::pow(std::max(level.sigma_v, 1e-6), 2);
    s += weight;
    sx += weight * level.amps_a;
    sy += weight * level.volts_v;
    sxx += weight * level.amps_a * level.amps_a;
    sxy += weight * level.amps_a * level.volts_v;
  }
  const double determinant = s * sxx - sx * sx;
  SupplyPath path;
  path.top_amps_a = top_amps_a;
  path.drop_v = (sxx * sy - sx * sxy) / determinant;
  path.ohm = (s * sxy - sx * sy) / determinant;
  // What does not lie on a line (a contact that gives, copper that warms) widens both errors.
  double chi2 = 0;
  for (const Level& level : levels) {
    const double off_v = level.volts_v - path.drop_v - path.ohm * level.amps_a;
    chi2 += std::pow(off_v / std::max(level.sigma_v, 1e-6), 2);
  }
  const auto degrees = static_cast<double>(levels.size()) - 2;
  const double widen = degrees > 0 ? std::sqrt(std::max(1.0, chi2 / degrees)) : 1;
  path.drop_sigma_v = std::hypot(widen * std::sqrt(sxx / determinant), kZeroErrorV);
  path.sigma_ohm = widen * std::sqrt(s / determinant);
  // Fewer volts at more current is no line of this kind.
  if (path.ohm < -kSureSigmas * path.sigma_ohm) return std::nullopt;
  path.ohm = std::max(0.0, path.ohm);
  return path;
}

double LogJunctionOnPath(const SupplyPath& path) {
  const double none = NormalDensity(path.drop_v, path.drop_sigma_v);
  const double some = (NormalBelow(path.drop_v - kLeastDropV, path.drop_sigma_v) -
                       NormalBelow(path.drop_v - kMostDropV, path.drop_sigma_v)) /
                      (kMostDropV - kLeastDropV);
  constexpr double kLeast = 1e-9;
  return std::clamp(std::log((some + kLeast) / (none + kLeast)), -kMostLogRatio, kMostLogRatio);
}

double MostWatts(const SupplyPath& path, bool junction) {
  const double amps_a = path.top_amps_a;
  if (junction) {
    return amps_a * std::max(0.0, path.drop_v + kSureSigmas * path.drop_sigma_v);
  }
  // What no junction takes; a drop below the supply's own error is none.
  return amps_a * amps_a * (path.ohm + kSureSigmas * path.sigma_ohm) +
         amps_a * std::min(std::max(0.0, path.drop_v), kSureSigmas * path.drop_sigma_v);
}

void ShareTheDrop(const SupplyPath& path, std::vector<Spot>& spots) {
  if (LogJunctionOnPath(path) <= 0) return;
  double sum_w = 0;
  double variance_w2 = 0;
  for (const Spot& spot : spots) {
    if (!IsJunction(spot)) continue;
    sum_w += spot.power_w;
    variance_w2 += std::pow(spot.power_w * spot.fit.power_log_sigma, 2);
  }
  if (sum_w <= 0) return;
  const double of_sum = variance_w2 / (sum_w * sum_w);
  const double of_drop =
      std::pow(path.drop_sigma_v / path.drop_v, 2) + kDropLogSigma * kDropLogSigma;
  const double share = of_sum / (of_sum + of_drop);
  const double scale = std::pow(path.drop_w() / sum_w, share);
  for (Spot& spot : spots) {
    if (!IsJunction(spot)) continue;
    // One place's error is the sum's own where it is nearly all of the sum.
    const double part = spot.power_w / sum_w;
    const double left = std::sqrt((1 - share) * of_sum);
    spot.fit.power_log_sigma = std::hypot(part * left, (1 - part) * spot.fit.power_log_sigma);
    spot.power_w *= scale;
  }
}

void BoundBySupply(double supply_w,
                   const std::optional<SupplyPath>& path,
                   bool junction,
                   Candidate& place) {
  if (!(supply_w > 0)) return;
  const double most_w = path ? std::min(supply_w, MostWatts(*path, junction)) : supply_w;
  if (place.power_w > most_w) {
    place.remarks.emplace_back(
        "Its heat reads higher than all that the supply delivers: the power "
        "stands at that limit.");
  }
  for (double* power_w : {&place.power_w, &place.power_low_w, &place.power_high_w}) {
    *power_w = std::min(*power_w, most_w);
  }
  place.share_of_supply = place.power_w / supply_w;
}

void AddReading(double top_amps_a, bool junction, Candidate& place) {
  if (!(top_amps_a > 0 && place.power_w > 0)) return;
  const double per_watt = junction ? 1 / top_amps_a : 1 / (top_amps_a * top_amps_a);
  const Estimate reading{
      per_watt * place.power_w, per_watt * place.power_low_w, per_watt * place.power_high_w};
  (junction ? place.drop_v : place.resistance_ohm) = reading;
}

std::vector<std::string> ReadingRemarks(const Candidate& place) {
  const auto say = [](const char* text, const Estimate& reading, double scale) {
    char buffer[160];
    std::snprintf(buffer,
                  sizeof buffer,
                  text,
                  scale * reading.value,
                  scale * reading.low,
                  scale * reading.high);
    return std::string(buffer);
  };
  if (place.resistance_ohm) {
    return {say("At this power its resistance is about %.2g mOhm (%.2g to %.2g).",
                *place.resistance_ohm,
                1e3)};
  }
  if (!place.drop_v) return {};
  return {say("At this power %.2f V (%.2f to %.2f) stand across it, as across a junction.",
              *place.drop_v,
              1)};
}

}  // namespace ohmglow
