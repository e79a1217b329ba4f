// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/prepare_supply.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "base/median.h"
#include "record/guard.h"

namespace ohmglow::record {
namespace {

constexpr int kMostErrors = 20;
constexpr int kTimedRounds = 3;
constexpr double kMostOffS = 0.3;

std::optional<Trip> TryLimits(Supply& supply, const Limits& limits) {
  // What stands in the queue from before is not ours.
  for (int k = 0; k < kMostErrors && !supply.ReadError().empty(); ++k) {
  }
  for (const std::string& wrong :
       {supply.SetVolts(limits.max_volts_v), supply.SetAmps(limits.max_amps_a)}) {
    if (!wrong.empty()) return Trip{Cause::kBeyondSupply, 0, 0, wrong};
  }
  return std::nullopt;
}

std::optional<Trip> MeasureWhileOff(Supply& supply, const Limits& limits) {
  const double volts = supply.MeasureVolts();
  const double amps = supply.MeasureAmps();
  const bool good =
      std::abs(volts) <= limits.max_volts_v && std::abs(amps) <= MostAmpsAtZero(limits);
  if (good) return std::nullopt;
  return Trip{Cause::kFlowsWhileOff, volts, amps, ""};
}

// What the guard can promise hangs on this: a fault may begin just after a reading; the next
// one must come, the order must arrive, and three answers to it must come back.
std::optional<Trip> TimeAnswers(Supply& supply, Readiness& ready) {
  std::vector<double> volts_s, amps_s, output_s;
  const auto timed = [](std::vector<double>& took_s, const auto& ask) {
    const double before_s = NowSeconds();
    static_cast<void>(ask());
    took_s.push_back(NowSeconds() - before_s);
  };
  for (int k = 0; k < kTimedRounds; ++k) {
    timed(volts_s, [&] { return supply.MeasureVolts(); });
    timed(amps_s, [&] { return supply.MeasureAmps(); });
    timed(output_s, [&] { return supply.ReadOutput(); });
  }
  const double volts = MedianOf(volts_s), amps = MedianOf(amps_s), output = MedianOf(output_s);
  ready.answer_s = std::max({volts, amps, output});
  ready.off_s = std::max(kMeasureEveryS, volts + amps) + 1.5 * amps + 2 * output;
  if (ready.off_s <= kMostOffS) return std::nullopt;
  return Trip{Cause::kAnswersLate, 1000 * ready.answer_s, 1000 * kMostOffS, ""};
}

}  // namespace

std::optional<Trip> PrepareSupply(Supply& supply, const Limits& limits, Readiness& ready) {
  supply.Start();
  ready.identity = supply.Identify();
  supply.SayOff();
  if (supply.ReadOutput()) return Trip{Cause::kCannotBeOff};
  if (const auto wrong = TryLimits(supply, limits)) return wrong;
  // It may have been on until now.
  ::usleep(static_cast<useconds_t>(1e6 * kSettleS));
  if (const auto wrong = MeasureWhileOff(supply, limits)) return wrong;
  return TimeAnswers(supply, ready);
}

}  // namespace ohmglow::record
