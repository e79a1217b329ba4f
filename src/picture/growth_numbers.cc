// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/growth_numbers.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "rank/growth_remark.h"
#include "words/numbers.h"

namespace ohmglow::internal {
namespace {

constexpr double kSigmas = 1.96;  // Of 95 %.
constexpr int kCurvePoints = 60;
constexpr double kSameAmps = 0.05;
constexpr double kMostApart = 0.2;
// Below this exponent's standard error one can tell 2 from 1.
constexpr double kTelling = 0.35;
// As near to 2 or 1 as heat that spreads and lags allows, sigmas apart.
constexpr double kNear = 0.25;

double LargestRise(const Candidate& candidate) {
  double largest = 0;
  for (const GrowthPoint& point : candidate.growth) largest = std::max(largest, point.rise_k);
  for (const LevelRise& level : candidate.levels) largest = std::max(largest, level.rise_k);
  return largest;
}

void PushBand(BandedCurve& curve, double x, double low, double middle, double high) {
  curve.low.emplace_back(x, low);
  curve.middle.emplace_back(x, middle);
  curve.high.emplace_back(x, high);
}

void AddCourse(const Candidate& candidate, double factor, GrowthNumbers& out) {
  for (const GrowthPoint& point : candidate.growth) {
    out.measured.emplace_back(point.time_s, factor * point.rise_k);
    out.area.emplace_back(point.time_s, point.area_mm2);
    if (!point.fit_k) continue;
    const double fit = factor * *point.fit_k;
    const double reach = factor * kSigmas * point.fit_sigma_k.value_or(0);
    PushBand(out.fit, point.time_s, fit - reach, fit, fit + reach);
  }
}

// A place that was found from the other side alone has that capture's course,
// of which the levels of this one tell nothing.
bool LevelsFit(const LocateResult& result, const Candidate& candidate) {
  std::size_t apart = 0;
  for (const GrowthPoint& point : candidate.growth) {
    for (const SupplyLevel& level : result.levels) {
      if (point.time_s < level.start_s || point.time_s > level.end_s) continue;
      apart += std::abs(level.amps_a - point.amps_a) > kSameAmps * (1 + point.amps_a) ? 1 : 0;
    }
  }
  return kMostApart * static_cast<double>(candidate.growth.size()) >= static_cast<double>(apart);
}

bool Overlap(const LocateResult& result, const Candidate& candidate) {
  if (candidate.growth.empty() || result.levels.empty()) return true;
  return result.levels.front().start_s < candidate.growth.back().time_s &&
         result.levels.back().end_s > candidate.growth.front().time_s;
}

void AddSteps(const LocateResult& result, const Candidate& candidate, GrowthNumbers& out) {
  if (!Overlap(result, candidate) || !LevelsFit(result, candidate)) {
    for (std::size_t i = 0; i + 1 < candidate.growth.size(); ++i) {
      out.steps.emplace_back(candidate.growth[i].time_s, candidate.growth[i].amps_a);
      out.steps.emplace_back(candidate.growth[i + 1].time_s, candidate.growth[i].amps_a);
    }
    return;
  }
  for (const SupplyLevel& level : result.levels) {
    out.steps.emplace_back(level.start_s, level.amps_a);
    out.steps.emplace_back(level.end_s, level.amps_a);
  }
}

// The curve's height: the levels weighted by how well each is known.
double HeightAtTop(const std::vector<LevelRise>& levels, double exponent) {
  double above = 0;
  double below = 0;
  for (const LevelRise& level : levels) {
    const double share = std::pow(level.amps_a / levels.back().amps_a, exponent);
    const double weight = 1 / std::max(level.sigma_k * level.sigma_k, 1e-12);
    above += weight * share * level.rise_k;
    below += weight * share * share;
  }
  return above / below;
}

void AddLevels(const Candidate& candidate, double factor, GrowthNumbers& out) {
  const std::vector<LevelRise>& levels = candidate.levels;
  for (const LevelRise& level : levels) {
    const double reach = factor * kSigmas * level.sigma_k;
    const double rise = factor * level.rise_k;
    out.levels.push_back({level.amps_a, rise, rise - reach, rise + reach});
  }
  if (levels.empty() || !candidate.current_exponent) return;
  const double exponent = *candidate.current_exponent;
  const double reach = kSigmas * candidate.current_exponent_sigma.value_or(0);
  const double top_a = levels.back().amps_a;
  const double height = factor * HeightAtTop(levels, exponent);
  for (int i = 0; i <= kCurvePoints; ++i) {
    const double amps_a = top_a * i / kCurvePoints;
    const auto at = [&](double power) {
      return height * std::pow(amps_a / top_a, std::max(power, 0.0));
    };
    // A larger exponent lies lower, below the top.
    PushBand(out.power_law, amps_a, at(exponent + reach), at(exponent), at(exponent - reach));
  }
}

std::vector<double> Heights(std::initializer_list<const std::vector<Point>*> lines) {
  std::vector<double> values;
  for (const auto* line : lines) {
    for (const Point& p : *line) values.push_back(p.y);
  }
  return values;
}

void SetRanges(GrowthNumbers& out) {
  if (!out.measured.empty()) {
    const double last_s = out.measured.back().x;
    out.time_s = {out.measured.front().x, std::max(last_s, out.measured.front().x + 1e-3)};
  }
  out.rise = RangeFromZero(Heights({&out.measured, &out.fit.low, &out.fit.high}), 1e-3);
  out.area_mm2 = RangeFromZero(Heights({&out.area}), 1);
  std::vector<double> amps = Heights({&out.steps});
  std::vector<double> rises;
  for (const LevelBar& level : out.levels) {
    amps.push_back(level.amps_a);
    rises.insert(rises.end(), {level.low, level.high});
  }
  for (const Point& p : out.power_law.middle) rises.push_back(p.y);
  out.amps_a = RangeFromZero(amps, 1e-3);
  out.level_rise = RangeFromZero(rises, 1e-3);
}

}  // namespace

GrowthNumbers MakeGrowthNumbers(const LocateResult& result, const Candidate& candidate) {
  GrowthNumbers out;
  const bool relative = result.values == FrameValues::kRelative;
  const bool small = LargestRise(candidate) < 0.1;
  out.rise_unit = relative ? "%" : small ? "mK" : "K";
  const double factor = relative ? 100 : small ? 1e3 : 1;
  AddCourse(candidate, factor, out);
  AddSteps(result, candidate, out);
  AddLevels(candidate, factor, out);
  SetRanges(out);
  return out;
}

std::string ExponentWords(const Candidate& candidate, const Words& words) {
  if (!candidate.current_exponent) return "";
  if (!GrowthCanBeRead(candidate)) return words.Get("exponent.unread");
  const double exponent = *candidate.current_exponent;
  const double sigma = candidate.current_exponent_sigma.value_or(0);
  // No-break spaces: the number stays in one line.
  const std::string number = FormNumber(exponent, "2", words) + "\u00A0\u00B1\u00A0" +
                             FormNumber(std::max(kSigmas * sigma, 0.01), "2", words);
  const auto near = [&](double power) {
    return std::abs(exponent - power) < kNear + kSigmas * sigma;
  };
  const auto key = [&] {
    if (sigma > kTelling) return "exponent.untold";
    if (near(2) && !near(1)) return "exponent.resistance";
    if (near(1) && !near(2)) return "exponent.junction";
    return near(1) ? "exponent.between" : "exponent.neither";
  };
  return words.Fill(key(), {{"exponent", number}});
}

}  // namespace ohmglow::internal
