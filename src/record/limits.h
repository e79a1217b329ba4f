// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow::record {

/// What must not be passed while a board is filmed. There is no value that means "no limit".
struct Limits {
  double max_volts_v = 0;         ///< > 0 .. 60.
  double max_amps_a = 0;          ///< > 0 .. 20.
  double max_rise_k = 15;         ///< Anywhere in view, above the rest before; 1 .. 60.
  double max_temperature_c = 60;  ///< Anywhere in view; 25 .. 120.
  double max_seconds_s = 0;       ///< From the first rest to the end; 12 .. 600.

  void Validate() const;  ///< @throws OptionError  naming the option, its value and the rule.
};

}  // namespace ohmglow::record
