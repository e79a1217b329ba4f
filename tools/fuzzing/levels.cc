// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Levels of a supply: the words of a case file.
#include <cmath>

#include "attempt.h"
#include "input/supply_levels.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  return Attempt([&] {
    for (const SetLevel& level : ParseLevels(Text(data, size), 2, kFile)) {
      if (!std::isfinite(level.amps_a) || level.amps_a < 0) std::abort();
      if (level.start_s && !std::isfinite(*level.start_s)) std::abort();
    }
  });
}
