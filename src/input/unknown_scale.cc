// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/unknown_scale.h"

#include <utility>

#include "text.h"

namespace ohmglow {
namespace {

// The lines for a case file, then the same for a folder without one.
std::string WaysOut(const std::vector<CountReading>& readings) {
  if (readings.empty()) {
    return "Write scale and zero of your camera under [frames] of case.ini (kelvin = zero + scale "
           "x "
           "count), or give a folder's as --unit \"SCALE ZERO\"";
  }
  std::string lines;
  std::string options;
  for (const CountReading& one : readings) {
    const std::string scale = FormatNumber(one.scale_k);
    const std::string zero = FormatNumber(one.zero_k);
    const bool word = !one.unit.empty();
    lines += (lines.empty() ? "" : " or ") +
             (word ? "unit = " + one.unit : "scale = " + scale + " and zero = " + zero);
    options += (options.empty() ? "--unit " : " or ") +
               (word ? one.unit : std::string("\"").append(scale + " " + zero).append("\""));
  }
  return "Write under [frames] of case.ini " + lines +
         " (kelvin = zero + scale x count), or with a folder give " + options;
}

}  // namespace

UnknownScaleError::UnknownScaleError(const std::filesystem::path& source,
                                     const std::string& what,
                                     std::vector<CountReading> readings)
    : InputError(source.string() + ": " + what + ". " + WaysOut(readings) +
                 "; where it is not known, unit = relative or --unit relative: places and ranks, "
                 "no watts"),
      shown_(what),
      readings_(std::move(readings)) {}

}  // namespace ohmglow
