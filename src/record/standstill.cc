// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/standstill.h"

#include <time.h>

namespace ohmglow::record {
namespace {

// Two clocks are not read at one moment: so much apart says nothing.
constexpr double kSleptS = 0.2;

}  // namespace

std::optional<double> Standstill::Missed(double steady_s, double boot_s) {
  const bool first = !steady_s_;
  const double gap_s = steady_s - steady_s_.value_or(steady_s);
  const double slept_s = boot_s - boot_s_ - gap_s;
  steady_s_ = steady_s;
  boot_s_ = boot_s;
  if (first || (gap_s <= most_gap_s_ && slept_s <= kSleptS)) return std::nullopt;
  return gap_s + slept_s;
}

double BootSeconds() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace ohmglow::record
