// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/result.h"
#include "simulate/capture.h"

namespace ohmglow::trial {

struct TrialOptions {
  std::vector<double> halves_s;  ///< Of the pattern; empty: its own.
  std::optional<double> until;   ///< With answers every 3 s, and an end when sure.
  double max_rise_k = 15;
};

/// How one board came out.
struct Trial {
  bool named = false;        ///< The fault's place is first.
  bool verdict = false;      ///< And called a fault.
  bool false_alarm = false;  ///< Another place is called a fault.
  bool enough = false;       ///< The recording ended because it was sure.
  double seconds_s = 0;      ///< That it took; of `enough`: until it was said.
  std::optional<double> off_mm;
  double log_power_ratio = 0;
  std::string tripped;  ///< By a guard; empty: none.
};

/// Plays the board's bench and records it, on an injected clock.
[[nodiscard]] Trial PlayRecord(const simulate::Setting& set,
                               const TrialOptions& options,
                               const std::filesystem::path& folder);

/// The same board with the staircase of its description.
[[nodiscard]] Trial PlayStairs(const simulate::Scenario& scenario,
                               const std::filesystem::path& folder);

}  // namespace ohmglow::trial
