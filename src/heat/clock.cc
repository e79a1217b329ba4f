// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "base/median.h"
#include "heat/clock_blocks.h"
#include "heat/clock_spots.h"
#include "heat/clock_steps.h"

namespace ohmglow {
namespace {

// Error that both ways of reading the clock have alone, at least.
constexpr double kSharedErrorS = 0.05;
// No model of a source is right to more than this part of its rise, and a step
// inside a bin is read off how far the bin rose: so much of a bin's length.
constexpr double kErrorOfBin = 0.1;
// Blocks that are less sure say nothing: the spots are asked over the whole range.
constexpr double kBlindS = 2;
constexpr double kProbeS = 0.75;
// What is known of an offset that others found.
constexpr double kRoughS = 0.3;
constexpr double kProbeTemper = 0.5;
// Gain of the warmest spot from which on it is no chance; with less, and with
// much less, neither blocks nor spots are believed.
constexpr double kSureGain = 40;
constexpr double kTooDoubtful = 0.5;
// A log of another capture: places this much livelier than a middling one, of
// whose course it explains hardly anything, or too little for so odd a clock.
constexpr double kLively = 10;
constexpr double kHardlyExplained = 0.15;
constexpr double kWarmGain = 60;
constexpr double kExplained = 0.7;

double MedianRow(const SupplyLog& log) {
  std::vector<double> steps_s;
  for (std::size_t i = 1; i < log.time_s.size(); ++i) {
    steps_s.push_back(log.time_s[i] - log.time_s[i - 1]);
  }
  return steps_s.empty() ? 0 : MedianOf(steps_s);
}

// Between the two rows that a step lies between: short where a log holds changes alone.
double UsualGap(const std::vector<LogStep>& steps, const SupplyLog& log) {
  std::vector<double> gaps_s;
  for (const LogStep& step : steps) gaps_s.push_back(step.late_s - step.early_s);
  return gaps_s.empty() ? MedianRow(log) : MedianOf(gaps_s);
}

// Two answers that share only what neither knows.
// What no kind of source describes errs in both alike and does not average out.
ClockFit Merge(const ClockOffset& blocks, const SpotClock& spots, double doubt) {
  const double blocks_s2 = std::pow(blocks.sigma_s, 2);
  const double spots_s2 = std::pow(spots.sigma_s, 2) + std::pow(kBlindS * doubt, 2);
  ClockFit out;
  const double apart_s = blocks.offset_s - spots.offset_s;
  out.offset_s =
      (blocks.offset_s / blocks_s2 + spots.offset_s / spots_s2) / (1 / blocks_s2 + 1 / spots_s2);
  const double odds = 0.5 * apart_s * apart_s / (blocks_s2 + spots_s2);
  out.sigma_s = std::hypot(std::sqrt(std::max(1.0, odds) / (1 / blocks_s2 + 1 / spots_s2)),
                           kSharedErrorS,
                           0.5 * kBlindS * doubt);
  return out;
}

// Where in the usual range the spots bring most, and how sure that is: the best
// of many places and offsets is high by chance, so their gain counts for little.
ClockOffset WarmestSpots(const SpotReader& reader,
                         const std::function<double(double)>& log_prior,
                         const HeatOptions& options) {
  std::vector<double> offsets_s;
  std::vector<double> likelihood;
  const int half = static_cast<int>(options.clock_range_s / kProbeS);
  for (int i = -half; i <= half; ++i) {
    offsets_s.push_back(i * kProbeS);
    likelihood.push_back(kProbeTemper * reader.Evidence(i * kProbeS) + log_prior(i * kProbeS));
  }
  return SummariseClock(offsets_s, likelihood);
}

double BinErrorS(const Stack& stack) {
  std::vector<double> lengths_s;
  for (std::size_t i = 1; i < stack.time_s.size(); ++i) {
    lengths_s.push_back(stack.time_s[i] - stack.time_s[i - 1]);
  }
  return lengths_s.empty() ? 0 : kErrorOfBin * MedianOf(lengths_s);
}

SupplyLog MiddleOfGaps(const SupplyLog& log, const std::vector<LogStep>& steps) {
  std::vector<double> at_s;
  for (const LogStep& step : steps) at_s.push_back(step.middle_s());
  return PlaceSteps(log, steps, at_s);
}

}  // namespace

TimedLog TimeLog(const Stack& stack,
                 const SupplyLog& log,
                 const Plate& plate,
                 double mm_per_pixel,
                 const HeatOptions& options) {
  const TemporalModel model(stack, options);
  const SpotReader reader(stack, model, log, plate, mm_per_pixel);
  TimedLog out{MiddleOfGaps(log, reader.steps()), {}};
  const SupplyLog even = out.log;
  const BlockClock search(stack, even, plate, options);
  double middle_s = search.FindMiddle();
  // Broad warmth may want another clock; the spots must want it too.
  if (middle_s != 0 && reader.Evidence(middle_s) < reader.Evidence(0)) middle_s = 0;
  ClockOffset blocks = search.FindAround(middle_s);
  // A slow log places each step no better than between two of its rows.
  blocks.sigma_s = std::hypot(blocks.sigma_s, UsualGap(reader.steps(), log) / std::sqrt(12.0));
  const ClockOffset alone = blocks;
  if (blocks.sigma_s > kBlindS || reader.Evidence(blocks.offset_s) <= 0) {
    const auto log_prior = [&](double offset_s) {
      return ClockLogPrior(offset_s) + StepsLogPrior(even,
                                                     stack.frame_times_s.front().front(),
                                                     stack.frame_times_s.back().back(),
                                                     offset_s);
    };
    blocks = WarmestSpots(reader, log_prior, options);
    blocks.sigma_s = std::max(blocks.sigma_s, kBlindS);
  }
  const std::optional<SpotClock> spots = reader.Read(blocks.offset_s);
  const double doubt = spots ? std::max(0.0, 1 - spots->gain / kSureGain) : 1;
  if (!spots || doubt > kTooDoubtful) {
    out.fit.offset_s = alone.offset_s;
    out.fit.sigma_s = std::hypot(alone.sigma_s, kBlindS * doubt, BinErrorS(stack));
    return out;
  }
  out.fit = Merge(blocks, *spots, doubt);
  out.fit.sigma_s = std::hypot(out.fit.sigma_s, BinErrorS(stack));
  const SpotReader::Share heat = reader.Explained(out.fit.offset_s);
  const bool unusual = blocks.sigma_s >= kBlindS || middle_s != 0;
  out.fit.foreign =
      heat.excess > kLively &&
      ((heat.excess > 2 * kLively && heat.share < kHardlyExplained && spots->gain < kWarmGain) ||
       (unusual && heat.share < kExplained));
  if (!spots->step_s.empty()) out.log = PlaceSteps(log, reader.steps(), spots->step_s);
  return out;
}

TimedLog TimeLogNear(const Stack& stack,
                     const SupplyLog& log,
                     const Plate& plate,
                     double mm_per_pixel,
                     const HeatOptions& options,
                     double around_s) {
  const TemporalModel model(stack, options);
  const SpotReader reader(stack, model, log, plate, mm_per_pixel);
  TimedLog out{MiddleOfGaps(log, reader.steps()),
               {around_s, std::hypot(kRoughS, BinErrorS(stack)), false}};
  const std::optional<SpotClock> spots = reader.Read(around_s);
  if (!spots || std::abs(spots->offset_s - around_s) > 2 * kRoughS) return out;
  out.fit.offset_s = spots->offset_s;
  out.fit.sigma_s = std::hypot(spots->sigma_s, kSharedErrorS, BinErrorS(stack));
  if (!spots->step_s.empty()) out.log = PlaceSteps(log, reader.steps(), spots->step_s);
  return out;
}

}  // namespace ohmglow
