// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Placement list; the first byte chooses what the case file says of it.
#include <cmath>

#include "attempt.h"
#include "input/placement_list.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  if (size == 0) return 0;
  return Attempt([&] {
    PlacementOptions options;
    if (data[0] & 1U) options.unit = "mm";
    if (data[0] & 2U) options.metric_chips = false;
    if (data[0] & 4U) options.bottom_mirrored = true;
    if (data[0] & 8U) options.decimal = '.';
    const PlacementList list = ParsePlacementList(Text(data + 1, size - 1), kFile, options);
    for (const Part& part : list.parts) {
      if (!std::isfinite(part.center_mm.x) || !std::isfinite(part.center_mm.y)) std::abort();
      if (!std::isfinite(part.width_mm) || !std::isfinite(part.height_mm)) std::abort();
    }
  });
}
