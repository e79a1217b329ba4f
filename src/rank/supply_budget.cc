// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/supply_budget.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "ohmglow/base/remark_kind.h"

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
// Supplies show no finer (common practice, no source).
constexpr double kFinestStepV = 1e-4;
// Forward drops: a leaky or Schottky junction to a power diode (common practice, no source).
constexpr double kLeastDropV = 0.1;
constexpr double kMostDropV = 1.2;
constexpr double kMostLogRatio = 6;
// Heat of a junction against drop times amps: the drop falls as it warms, rises
// with the current, which the line takes for ohms, and some stays in its leads.
constexpr double kDropLogSigma = 0.1;
// Heat that disagrees with the drop by more standard errors is of something else.
constexpr double kMostMiss = 3;
// Places less likely a fault than that (contacts, halos) have no share in it.
constexpr double kLeastPlausible = 0.2;
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

// What the last digit shown is worth: the coarsest decimal step of all readings.
double StepOf(const std::vector<double>& volts_v) {
  for (double step_v = 1; step_v > kFinestStepV; step_v /= 10) {
    const bool all = std::all_of(volts_v.begin(), volts_v.end(), [&](double v) {
      return !std::isfinite(v) || std::abs(v / step_v - std::round(v / step_v)) < 1e-6;
    });
    if (all) return step_v;
  }
  return kFinestStepV;
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
  return std::exp(-0.5 * x * x / (sigma * sigma)) / (sigma * std::sqrt(2 * std::numbers::pi));
}

double NormalBelow(double x, double sigma) {
  return 0.5 * std::erfc(-x / (sigma * std::numbers::sqrt2));
}

// Where a standard normal has this probability below it.
double NormalQuantile(double prob) {
  double low = -8;
  double high = 8;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (NormalBelow(middle, 1) < prob ? low : high) = middle;
  }
  return high;
}

// No power above `most_w`. An estimate that lies beyond is wrong by as much, at least: its error
// is widened by that distance, and the low end is that of what is left below the limit.
void CutAt(double most_w, Candidate& place) {
  const double over = std::log(place.power_w / most_w);
  const double sigma = std::log(place.power_high_w / place.power_low_w) / (2 * 1.96);
  place.power_high_w = std::min(place.power_high_w, most_w);
  if (!(over > 0)) return;
  const double wide = std::hypot(sigma, over);
  const double low = wide * NormalQuantile(0.025 * NormalBelow(-over / wide, 1));
  place.power_low_w = std::min(most_w, place.power_w * std::exp(low));
  place.power_w = most_w;
}

bool IsJunction(const Spot& spot) { return spot.course.log_junction > kJunctionLogRatio; }

// What does not lie on a line (a contact that gives, copper that warms) widens
// both errors by that.
double Widening(const std::vector<Level>& levels, const SupplyPath& path) {
  if (levels.size() < 3) return 1;
  double chi2 = 0;
  for (const Level& level : levels) {
    const double off_v = level.volts_v - path.drop_v - path.ohm * level.amps_a;
    chi2 += std::pow(off_v / level.sigma_v, 2);
  }
  return std::sqrt(std::max(1.0, chi2 / (static_cast<double>(levels.size()) - 2)));
}

}  // namespace

double TopWatts(const Drive& drive) {
  double most_w = 0;
  for (const SupplyLevel& level : drive.Levels()) {
    if (level.amps_a > 0.95 * drive.top_amps_a()) most_w = std::max(most_w, level.watts_w());
  }
  return most_w;
}

std::optional<SupplyPath> ReadSupplyPath(const SupplyLog& log, double top_amps_a) {
  if (log.volts_v.size() != log.amps_a.size()) return std::nullopt;
  const std::vector<Level> levels = LevelsOf(log, top_amps_a);
  if (levels.size() < 2 || levels.back().amps_a < kLeastSpan * levels.front().amps_a) {
    return std::nullopt;
  }
  double s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (const Level& level : levels) {
    const double weight = 1 / (level.sigma_v * level.sigma_v);
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
  const double widen = Widening(levels, path);
  path.drop_sigma_v = std::hypot(widen * std::sqrt(sxx / determinant), kZeroErrorV);
  path.sigma_ohm = widen * std::sqrt(s / determinant);
  // Fewer volts at more current, or volts that hardly depend on it (a supply at
  // its voltage limit), are no path of this kind.
  if (path.ohm < -kSureSigmas * path.sigma_ohm) return std::nullopt;
  if (path.drop_v > kMostDropV + kSureSigmas * path.drop_sigma_v) return std::nullopt;
  if (path.ohm < 0) {
    path.ohm = 0;
    path.drop_v = sy / s;
  }
  return path;
}

double LogJunctionOnPath(const SupplyPath& path) {
  const double none = NormalDensity(std::max(0.0, path.drop_v), path.drop_sigma_v);
  const double some = (NormalBelow(path.drop_v - kLeastDropV, path.drop_sigma_v) -
                       NormalBelow(path.drop_v - kMostDropV, path.drop_sigma_v)) /
                      (kMostDropV - kLeastDropV);
  constexpr double kLeast = 1e-9;
  return std::clamp(std::log((some + kLeast) / (none + kLeast)), -kMostLogRatio, kMostLogRatio);
}

double MostWatts(const SupplyPath& path, bool junction) {
  const double amps_a = path.top_amps_a;
  const double ohmic_w = amps_a * amps_a * (path.ohm + kSureSigmas * path.sigma_ohm);
  // A junction has ohms of its own; of a resistance a drop within the supply's error may be.
  const double error_v = kSureSigmas * path.drop_sigma_v;
  const double drop_v = std::max(0.0, path.drop_v);
  return ohmic_w + amps_a * (junction ? drop_v + error_v : std::min(drop_v, error_v));
}

void ShareTheDrop(const SupplyPath& path,
                  std::span<const double> plausibilities,
                  std::vector<Spot>& spots) {
  if (LogJunctionOnPath(path) <= 0) return;
  std::vector<Spot*> junctions;
  double sum_w = 0;
  double variance_w2 = 0;
  for (std::size_t i = 0; i < spots.size(); ++i) {
    Spot& spot = spots[i];
    if (plausibilities[i] < kLeastPlausible || !IsJunction(spot)) continue;
    junctions.push_back(&spot);
    sum_w += spot.power_w;
    variance_w2 += std::pow(spot.power_w * spot.fit.power_log_sigma, 2);
  }
  if (!(sum_w > 0)) return;
  const double of_sum = variance_w2 / (sum_w * sum_w);
  const double of_drop =
      std::pow(path.drop_sigma_v / path.drop_v, 2) + kDropLogSigma * kDropLogSigma;
  const double apart = std::log(path.drop_w() / sum_w);
  if (apart * apart > kMostMiss * kMostMiss * (of_sum + of_drop)) return;
  const double share = of_sum / (of_sum + of_drop);
  for (Spot* spot : junctions) {
    // One place's error is the sum's own where it is nearly all of the sum.
    const double part = spot->power_w / sum_w;
    const double left = std::sqrt((1 - share) * of_sum);
    spot->fit.power_log_sigma = std::hypot(part * left, (1 - part) * spot->fit.power_log_sigma);
    spot->power_w *= std::exp(share * apart);
  }
}

void BoundBySupply(double supply_w,
                   const std::optional<SupplyPath>& path,
                   bool junction,
                   Candidate& place) {
  if (!(supply_w > 0)) return;
  const double most_w = path ? std::min(supply_w, MostWatts(*path, junction)) : supply_w;
  if (place.power_w > most_w) {
    place.remarks.emplace_back(most_w < supply_w ? RemarkKind::kBoundByReadings
                                                 : RemarkKind::kBoundBySupply);
  }
  CutAt(most_w, place);
  place.share_of_supply = place.power_w / supply_w;
}

void AddReading(double top_amps_a, bool junction, Candidate& place) {
  if (!(top_amps_a > 0 && place.power_w > 0)) return;
  const double per_watt = junction ? 1 / top_amps_a : 1 / (top_amps_a * top_amps_a);
  const Estimate reading{
      per_watt * place.power_w, per_watt * place.power_low_w, per_watt * place.power_high_w};
  (junction ? place.drop_v : place.resistance_ohm) = reading;
}

void SayReading(Candidate& place) {
  if (place.resistance_ohm) {
    place.remarks.push_back(Remark(RemarkKind::kReadAsResistance)
                                .With("mohm", 1e3 * place.resistance_ohm->value)
                                .With("low_mohm", 1e3 * place.resistance_ohm->low)
                                .With("high_mohm", 1e3 * place.resistance_ohm->high));
  } else if (place.drop_v) {
    place.remarks.push_back(Remark(RemarkKind::kReadAsDrop)
                                .With("drop_v", place.drop_v->value)
                                .With("low_v", place.drop_v->low)
                                .With("high_v", place.drop_v->high));
  }
}

void DropReadingRemark(Candidate& place) {
  std::erase_if(place.remarks, IsOf(RemarkKind::kReadAsResistance));
  std::erase_if(place.remarks, IsOf(RemarkKind::kReadAsDrop));
}

}  // namespace ohmglow
