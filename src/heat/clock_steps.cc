// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock_steps.h"

#include <algorithm>
#include <cmath>

#include "base/median.h"

namespace ohmglow {
namespace {

// A change of current smaller than this part of the largest is no step.
constexpr double kStepFraction = 0.02;
// A log is regular where this share of its rows follow at the usual distance.
constexpr double kRegularShare = 0.7;
constexpr double kUsualOfMedian = 1.5;
// Farther apart, rows of a log that is regular are rows of changes alone.
constexpr double kSlowestLogS = 2.5;
constexpr double kEdgeS = 1e-6;
// A ramp is known from its rows but for a part of their distance.
constexpr double kRampOfRow = 0.2;

// All changes of current out of the film, none left but for this share.
constexpr double kAllOutLogPrior = -6;
constexpr double kNoneLeft = 0.02;
constexpr double kNothingToTell = -1e6;
// A step this near to an end of the film is out of it.
constexpr double kEndShare = 0.03;
constexpr double kLongestEndS = 0.5;

bool IsRegular(const SupplyLog& log, double row_s) {
  std::size_t usual = 0;
  for (std::size_t i = 1; i < log.time_s.size(); ++i) {
    usual += log.time_s[i] - log.time_s[i - 1] <= kUsualOfMedian * row_s ? 1 : 0;
  }
  return row_s <= kSlowestLogS &&
         static_cast<double>(usual) >= kRegularShare * static_cast<double>(log.time_s.size() - 1);
}

}  // namespace

std::vector<LogStep> FindSteps(const SupplyLog& log) {
  std::vector<LogStep> steps;
  if (log.time_s.size() < 2) return steps;
  std::vector<double> rows_s;
  double top_a = 0;
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    top_a = std::max(top_a, std::abs(log.amps_a[i]));
    if (i > 0) rows_s.push_back(log.time_s[i] - log.time_s[i - 1]);
  }
  const double row_s = MedianOf(rows_s);
  const bool regular = IsRegular(log, row_s);
  double last_change = 0;
  for (std::size_t i = 1; i < log.time_s.size(); ++i) {
    const double change = std::abs(log.amps_a[i]) - std::abs(log.amps_a[i - 1]);
    if (std::abs(change) < kStepFraction * top_a) continue;
    const bool goes_on =
        regular && !steps.empty() && steps.back().after + 1 == i && change * last_change > 0;
    last_change = change;
    if (goes_on) {
      LogStep& step = steps.back();
      step.after = i;
      step.ramp = true;
      const double middle_s = 0.5 * (log.time_s[step.before] + log.time_s[i]);
      step.early_s = middle_s - kRampOfRow * row_s;
      step.late_s = middle_s + kRampOfRow * row_s;
      continue;
    }
    LogStep step;
    step.before = i - 1;
    step.after = i;
    step.early_s = regular ? log.time_s[i - 1] : log.time_s[i] - kEdgeS;
    step.late_s = log.time_s[i];
    steps.push_back(step);
  }
  return steps;
}

double StepsLogPrior(const SupplyLog& log, double first_s, double last_s, double offset_s) {
  const double end_s = std::min(kEndShare * (last_s - first_s), kLongestEndS);
  double all_a = 0;
  double inside_a = 0;
  for (std::size_t i = 1; i < log.time_s.size(); ++i) {
    const double change_a = std::abs(std::abs(log.amps_a[i]) - std::abs(log.amps_a[i - 1]));
    const double time_s = 0.5 * (log.time_s[i - 1] + log.time_s[i]) + offset_s;
    all_a += change_a;
    if (time_s > first_s + end_s && time_s < last_s - end_s) inside_a += change_a;
  }
  if (all_a <= 0) return 0;
  const double share = inside_a / all_a;
  return kAllOutLogPrior * (1 - share) + (share < kNoneLeft ? kNothingToTell : 0);
}

SupplyLog PlaceSteps(const SupplyLog& log,
                     const std::vector<LogStep>& steps,
                     const std::vector<double>& at_s) {
  SupplyLog out;
  const auto add = [&](double time_s, std::size_t row) {
    // Two rows nearer than that are one: an offset added later may make their times equal.
    if (!out.time_s.empty() && time_s < out.time_s.back() + 0.5 * kEdgeS) return;
    out.time_s.push_back(time_s);
    out.volts_v.push_back(log.volts_v[row]);
    out.amps_a.push_back(log.amps_a[row]);
  };
  std::size_t row = 0;
  for (std::size_t k = 0; k < steps.size(); ++k) {
    const LogStep& step = steps[k];
    if (step.ramp) {
      const double shift_s = at_s[k] - step.middle_s();
      for (; row < step.before; ++row) add(log.time_s[row], row);
      for (; row <= step.after; ++row) add(log.time_s[row] + shift_s, row);
      continue;
    }
    for (; row <= step.before; ++row) {
      if (log.time_s[row] < at_s[k] - kEdgeS) add(log.time_s[row], row);
    }
    add(at_s[k] - kEdgeS, step.before);
    add(at_s[k], step.after);
    while (row < log.time_s.size() && log.time_s[row] <= at_s[k]) ++row;
  }
  for (; row < log.time_s.size(); ++row) add(log.time_s[row], row);
  return out;
}

}  // namespace ohmglow
