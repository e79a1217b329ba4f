// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Log of a supply; the first byte chooses what the case file says of it.
#include <cmath>

#include "attempt.h"
#include "input/supply_log.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  if (size == 0) return 0;
  return Attempt([&] {
    LogOptions options;
    if (data[0] & 1U) options.rate_hz = 10;
    if (data[0] & 2U) options.volts_v = 1;
    if (data[0] & 4U) options.decimal = ',';
    if (data[0] & 8U) options.delimiter = ';';
    const ReadLog read = ParseSupplyLog(Text(data + 1, size - 1), kFile, options);
    (void)DescribeColumns(read.reading);
    const SupplyLog& log = read.log;
    if (log.volts_v.size() != log.time_s.size() || log.amps_a.size() != log.time_s.size())
      std::abort();
    for (std::size_t i = 0; i < log.time_s.size(); ++i) {
      if (!std::isfinite(log.time_s[i]) || !std::isfinite(log.amps_a[i])) std::abort();
      if (i > 0 && log.time_s[i] <= log.time_s[i - 1]) std::abort();
    }
  });
}
