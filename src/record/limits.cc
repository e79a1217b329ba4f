// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/limits.h"

#include <string>

#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

void Check(const char* option, double value, double low, double high, const char* unit) {
  if (value >= low && value <= high) return;  // Also refuses NaN.
  throw OptionError(std::string(option) + " " + FormatNumber(value) + ": give " +
                    FormatNumber(low) + " to " + FormatNumber(high) + " " + unit);
}

}  // namespace

void Limits::Validate() const {
  Check("--max-volts", max_volts_v, 0.05, 60, "volts");
  Check("--max-amps", max_amps_a, 0.01, 20, "amps");
  Check("--max-rise", max_rise_k, 1, 60, "kelvin");
  Check("--max-temperature", max_temperature_c, 25, 120, "degrees Celsius");
  Check("--max-seconds", max_seconds_s, 12, 600, "seconds");
}

}  // namespace ohmglow::record
