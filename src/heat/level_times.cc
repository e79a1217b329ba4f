// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/level_times.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>

#include "heat/clock_blocks.h"
#include "heat/clock_grid.h"
#include "heat/clock_timing.h"
#include "heat/free_steps.h"
#include "heat/level_places.h"
#include "heat/source_courses.h"
#include "heat/step_score.h"
#include "heat/step_search.h"
#include "heat/step_table.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Sharp detail tells of near heat, broad detail of heat from the far face.
constexpr std::array kBands = {DetailBand{}, DetailBand{3, 12}};
// Less than this in log likelihood, and a change is not seen.
constexpr double kSeen = 4;
// More evidence than a search over noise finds (LEVELS.md).
constexpr double kChancePerStep = 1;
constexpr double kChance = 12;
// What no kind of source describes of the time of a corner, from simulated boards.
constexpr double kModelS = 0.05;
// Tops of the score this much lower do not count.
constexpr double kOpen = 12;
// Rows of the log that stands for the levels.
constexpr double kRowS = 0.2;
constexpr int kMostRows = 3000;
constexpr double kEdgeS = 1e-6;
// The last round moves a step by no more than this.
constexpr double kReachS = 0.6;
constexpr double kTemper = 0.5;
// What sharp places may err by together; what blocks may say against it.
constexpr double kSharedErrorS = 0.4;
constexpr double kPoorShiftS = 0.5;
constexpr double kFarthestShiftS = 1.2;

std::vector<double> TimesOf(const StepTable& table, const StepPlaces& at) {
  std::vector<double> times_s;
  for (const int place : at) times_s.push_back(table.times_s[static_cast<std::size_t>(place)]);
  return times_s;
}

struct Moments {
  double mean_s = 0;
  double variance_s2 = 0;
};

// Of one step's time with the others where they are.
Moments ProfileOf(const StepScore& score, const StepTable& table, const StepFit& fit, int step) {
  const int first = std::max(0, score.Earliest(fit.at, step));
  const int last = score.Latest(fit.at, step);
  const std::vector<double> scores = score.Scan(fit.at, step, first, last);
  const double top = *std::max_element(scores.begin(), scores.end());
  double norm = 0;
  Moments out;
  for (int pass = 0; pass < 2; ++pass) {
    double sum = 0;
    for (std::size_t i = 0; i < scores.size(); ++i) {
      const double weight = std::exp(scores[i] - top);
      const double time_s = table.times_s[static_cast<std::size_t>(first) + i];
      if (pass == 0) norm += weight;
      sum += weight * (pass == 0 ? time_s : std::pow(time_s - out.mean_s, 2));
    }
    (pass == 0 ? out.mean_s : out.variance_s2) = sum / norm;
  }
  out.variance_s2 += std::pow(table.pitch_s(), 2) / 12;
  return out;
}

// Mean and spread over all tops that are nearly as good.
std::vector<Moments> PosteriorOf(const StepScore& score,
                                 const StepTable& table,
                                 const std::vector<StepFit>& tops) {
  std::vector<Moments> out(tops.front().at.size());
  for (std::size_t k = 0; k < out.size(); ++k) {
    Moments& mine = out[k];
    mine = ProfileOf(score, table, tops.front(), static_cast<int>(k));
    double norm = 1;
    double off_s2 = 0;
    for (const StepFit& top : tops) {
      const double weight = std::exp(top.score - tops.front().score);
      if (&top == &tops.front() || top.score < tops.front().score - kOpen) continue;
      norm += weight;
      off_s2 += weight * std::pow(TimesOf(table, top.at)[k] - mine.mean_s, 2);
    }
    mine.variance_s2 += off_s2 / norm;
  }
  return out;
}

// What the score loses where a change never was: the level it leads to, or the
// one before it, has no length.
double LossWithout(const StepScore& score, const StepTable& table, const StepFit& fit, int step) {
  const auto k = static_cast<std::size_t>(step);
  const int sooner = step == 0 ? 0 : fit.at[k - 1];
  const int later = k + 1 == fit.at.size() ? table.num_times() - 1 : fit.at[k + 1];
  const Eigen::ArrayXd with = score.LogRatios(fit.at);
  double loss = 1e300;
  for (const int place : {sooner, later}) {
    StepPlaces at = fit.at;
    at[k] = place;
    const Eigen::ArrayXd without = score.LogRatios(at);
    loss = std::min(loss, (with.max(0.0) - without.max(0.0)).sum());
  }
  return loss;
}

// The places of all bands, as the model that grants slow courses leaves them.
FineGrid PlacesOf(const std::vector<LivelyBand>& bands, const TemporalModel& model) {
  Eigen::Index count = 0;
  for (const LivelyBand& band : bands) count += band.spots.courses.cols();
  FineGrid all;
  all.degrees = std::max(1, model.num_bins() - model.num_nuisances());
  all.courses.resize(model.num_bins(), count);
  all.tremble.resize(count);
  Eigen::Index from = 0;
  for (const LivelyBand& band : bands) {
    const Eigen::Index num = band.spots.courses.cols();
    all.at.insert(all.at.end(), band.spots.at.begin(), band.spots.at.end());
    all.courses.middleCols(from, num) = band.spots.courses;
    all.tremble.segment(from, num) = band.spots.tremble;
    from += num;
  }
  model.ProjectColumns(all.courses);
  all.whole = all.courses.colwise().squaredNorm().transpose().array() + all.tremble;
  return all;
}

// Kinds of source as either band sees them.
SourceCourses AllKinds(const Plate& plate, double mm_per_pixel) {
  SourceCourses all;
  for (const DetailBand& band : kBands) {
    const SourceCourses more =
        MakeBandCourses(plate, mm_per_pixel * band.inner_px, mm_per_pixel * band.outer_px);
    const Eigen::Index from = all.mixture.cols();
    const Eigen::Index count = more.mixture.cols();
    all.lags_s = more.lags_s;
    all.board_s = more.board_s;
    all.mixture.conservativeResize(more.mixture.rows(), from + count);
    all.mixture.rightCols(count) = more.mixture;
    all.half_s.conservativeResize(from + count);
    all.half_s.tail(count) = more.half_s;
  }
  return all;
}

// The corners of the liveliest places, by all kinds and between the table's times.
std::vector<Moments> Refine(const Stack& stack,
                            const FineGrid& spots,
                            const Eigen::ArrayXd& ratios,
                            const SourceCourses& sources,
                            const TemporalModel& model,
                            const std::vector<SetLevel>& levels,
                            const std::vector<Moments>& rough) {
  const double first_s = stack.frame_times_s.front().front();
  const double last_s = stack.frame_times_s.back().back();
  SupplyLog log;
  std::vector<LogStep> steps;
  const auto add = [&](double time_s, std::size_t level) {
    log.time_s.push_back(time_s);
    log.volts_v.push_back(std::numeric_limits<double>::quiet_NaN());
    log.amps_a.push_back(levels[level].amps_a);
  };
  add(first_s - 10, 0);
  for (std::size_t k = 0; k < rough.size(); ++k) {
    const double reach_s = std::min(kReachS, 3 * std::sqrt(rough[k].variance_s2) + 0.1);
    add(rough[k].mean_s, k + 1);
    steps.push_back({k, k + 1, rough[k].mean_s - reach_s, rough[k].mean_s + reach_s, false});
  }
  add(last_s + 10, levels.size() - 1);
  std::vector<double> at_s;
  for (const Moments& step : rough) at_s.push_back(step.mean_s);
  const Eigen::ArrayXXf gains = KindGains(spots, sources, model, PlaceSteps(log, steps, at_s), 0);
  std::vector<Eigen::Index> kinds;
  std::vector<double> weights;
  for (Eigen::Index s = 0; s < spots.courses.cols(); ++s) {
    Eigen::Index kind = 0;
    gains.col(s).maxCoeff(&kind);
    kinds.push_back(kind);
    weights.push_back(kTemper / (1 + std::exp(-ratios(s))));
  }
  const StepTiming timing = TimeSteps(spots, kinds, weights, sources, model, log, steps, 0);
  std::vector<Moments> out;
  for (std::size_t k = 0; k < rough.size(); ++k) {
    out.push_back({timing.at_s[k], std::pow(timing.sigma_s[k], 2)});
  }
  return out;
}

struct Shift {
  double later_s = 0;
  double sigma_s = 0;
};

// By how much all steps are late together. A slow kind and an early step look much like a quick
// kind and a late one: strong places pull the steps early by up to 0.8 s, all by the same. Blocks
// all over the picture, whose halos pull them late, hold against that.
Shift SharedShift(const Stack& stack,
                  const SupplyLog& log,
                  const Plate& plate,
                  const HeatOptions& options) {
  const ClockOffset blocks = BlockClock(stack, log, plate, options).FindAround(0);
  if (blocks.sigma_s > kPoorShiftS || std::abs(blocks.offset_s) > kFarthestShiftS) {
    return {0, kSharedErrorS};
  }
  const double places_s2 = std::pow(kSharedErrorS, 2);
  const double blocks_s2 = std::pow(blocks.sigma_s, 2);
  const double share = places_s2 / (places_s2 + blocks_s2);
  return {share * blocks.offset_s, std::sqrt(share * blocks_s2)};
}

// Levels nobody can tell apart in time still follow each other.
void InOrder(std::vector<double>& starts_s, const StepTable& table) {
  for (std::size_t k = 1; k < starts_s.size(); ++k) {
    starts_s[k] = std::max(starts_s[k], starts_s[k - 1] + 0.5 * table.pitch_s());
  }
}

}  // namespace

bool LevelTimes::found() const {
  return evidence > kChance + kChancePerStep * static_cast<double>(starts.size());
}

bool LevelTimes::fits() const { return found() && leads && evidence >= kFitShare * freed; }

SupplyLog LogOfLevels(const std::vector<SetLevel>& levels,
                      const std::vector<double>& starts_s,
                      double first_s,
                      double last_s) {
  const double row_s = std::max(kRowS, (last_s - first_s) / kMostRows);
  SupplyLog log;
  const auto add = [&](double time_s, std::size_t level) {
    if (!log.time_s.empty() && time_s <= log.time_s.back()) return;
    log.time_s.push_back(time_s);
    log.volts_v.push_back(std::numeric_limits<double>::quiet_NaN());
    log.amps_a.push_back(levels[level].amps_a);
  };
  double from_s = std::min(first_s, starts_s.front()) - 1;
  for (std::size_t k = 0; k < levels.size(); ++k) {
    const double until_s = k < starts_s.size() ? starts_s[k] : std::max(last_s, from_s) + 1;
    for (double time_s = from_s; time_s < until_s - kEdgeS; time_s += row_s) add(time_s, k);
    add(until_s - kEdgeS, k);
    from_s = until_s;
  }
  return log;
}

LevelTimes TimeLevels(const Stack& stack,
                      const std::vector<SetLevel>& levels,
                      const Plate& plate,
                      double mm_per_pixel,
                      const HeatOptions& options) {
  std::vector<LivelyBand> bands;
  for (const DetailBand& band : kBands) {
    bands.push_back(FindLivelyBand(stack, plate, mm_per_pixel, band));
  }
  std::vector<BandScore> scores;
  for (LivelyBand& band : bands) scores.push_back(std::move(band.score));
  const StepScore score(scores, RisesOf(levels), levels);
  const StepTable& table = score.table();
  const std::vector<StepFit> tops = SearchSteps(score, table, levels);
  if (tops.empty()) {
    throw DataError("the frames are too short for " + std::to_string(levels.size()) +
                    " levels; give only those that were filmed");
  }
  const StepFit& best = tops.front();
  const Eigen::ArrayXd ratios = score.LogRatios(best.at);
  LevelTimes out;
  out.evidence = score.Evidence(best.at);
  out.freed = FreedEvidence(scores, RisesOf(levels), best.at);
  out.leads = score.Leads(best.at);
  const std::vector<Moments> rough = PosteriorOf(score, table, tops);
  // The corners alone: slow courses are given away, whatever kind of source it is.
  const TemporalModel model(stack, options);
  const std::vector<Moments> fine = Refine(
      stack, PlacesOf(bands, model), ratios, AllKinds(plate, mm_per_pixel), model, levels, rough);
  std::vector<double> starts_s;
  for (std::size_t k = 0; k < rough.size(); ++k) {
    const bool seen = LossWithout(score, table, best, static_cast<int>(k)) > kSeen;
    const Moments& used = seen ? fine[k] : rough[k];
    starts_s.push_back(used.mean_s);
    const double variance_s2 = std::max(fine[k].variance_s2, rough[k].variance_s2);
    out.starts.push_back({used.mean_s, std::hypot(std::sqrt(variance_s2), kModelS), seen});
  }
  const double first_s = stack.frame_times_s.front().front();
  const double last_s = stack.frame_times_s.back().back();
  InOrder(starts_s, table);
  const Shift shift =
      SharedShift(stack, LogOfLevels(levels, starts_s, first_s, last_s), plate, options);
  for (std::size_t k = 0; k < starts_s.size(); ++k) {
    starts_s[k] += shift.later_s;
    out.starts[k].time_s = starts_s[k];
    out.starts[k].sigma_s = std::hypot(out.starts[k].sigma_s, shift.sigma_s);
  }
  out.log = LogOfLevels(levels, starts_s, first_s, last_s);
  return out;
}

}  // namespace ohmglow
