// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/resistance.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr double kTopShare = 0.9;
constexpr double kMuchCurrent = 0.5;  // Of the highest.
constexpr double kLeastAmps = 1e-3;
// Last digit of a bench supply's log, as a uniform error: common practice, no source.
constexpr double kVoltsDigit = 0.01;

struct Ohms {
  double value = 0;
  double sigma = 0;
};

// The mean of volts over amps of the rows near the highest current.
std::optional<Ohms> Measure(const std::optional<SupplyLog>& log) {
  if (!log || log->amps_a.empty()) return std::nullopt;
  std::vector<double> sorted = log->amps_a;
  std::sort(sorted.begin(), sorted.end());
  if (!(sorted.back() >= kLeastAmps)) return std::nullopt;
  // A log may go on for hours at nothing: only rows with much current are ranked.
  sorted.erase(sorted.begin(),
               std::lower_bound(sorted.begin(), sorted.end(), kMuchCurrent * sorted.back()));
  // Not the very largest: the limiter overshoots when a step begins.
  const double top = sorted[sorted.size() - 1 - sorted.size() / 50];
  std::vector<double> ohms;
  for (std::size_t i = 0; i < log->amps_a.size(); ++i) {
    if (!std::isfinite(log->volts_v[i])) continue;  // a log without volts
    if (log->amps_a[i] >= kTopShare * top && log->amps_a[i] <= top / kTopShare) {
      ohms.push_back(log->volts_v[i] / log->amps_a[i]);
    }
  }
  if (ohms.empty()) return std::nullopt;
  double mean = 0;
  for (const double o : ohms) mean += o / static_cast<double>(ohms.size());
  double square = 0;
  for (const double o : ohms) square += (o - mean) * (o - mean);
  const double num = static_cast<double>(ohms.size());
  const double scatter = num > 1 ? std::sqrt(square / (num - 1) / num) : 0;
  return Ohms{mean, std::hypot(scatter, kVoltsDigit / std::sqrt(12.0) / top)};
}

}  // namespace

ResistanceChange CompareResistance(const std::optional<SupplyLog>& before,
                                   const std::optional<SupplyLog>& after) {
  ResistanceChange out;
  const auto first = Measure(before);
  const auto second = Measure(after);
  if (first) out.before_ohm = first->value;
  if (second) out.after_ohm = second->value;
  if (!first || !second) {
    out.remark = Remark(RemarkKind::kResistancesNotCompared);
    return out;
  }
  out.change_ohm = second->value - first->value;
  out.change_sigma_ohm = std::hypot(first->sigma, second->sigma);
  out.remark = Remark(RemarkKind::kLeadsInResistance);
  return out;
}

}  // namespace ohmglow
