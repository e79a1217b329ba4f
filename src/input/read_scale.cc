// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "read_scale.h"

#include <array>
#include <memory>
#include <string>
#include <string_view>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::string_view kTable = "frames.table";
constexpr std::string_view kGain = "frames.curve_gain";
constexpr std::string_view kWavelength = "frames.curve_wavelength_um";
constexpr std::string_view kShift = "frames.curve_shift_um_k";
constexpr std::string_view kDark = "frames.curve_dark";

[[noreturn]] void Fail(const IniFile& ini, const IniEntry& entry, const std::string& what) {
  throw InputError(ini.Where(entry) + " " + what);
}

std::optional<double> NumberOf(const IniFile& ini, std::string_view name) {
  const auto entry = ini.Find(name);
  if (!entry) return std::nullopt;
  const auto value = ParseNumber(entry->value);
  if (!value) {
    Fail(ini,
         *entry,
         "= " + Quoted(entry->value) +
             " is not a finite number; write it like 12.5, units are "
             "fixed");
  }
  return value;
}

double Needed(const IniFile& ini, std::string_view name) {
  if (const auto value = NumberOf(ini, name)) return *value;
  throw InputError(ini.file().string() + ": " + std::string(name) +
                   " is missing; a curve needs curve_gain and curve_wavelength_um, and has "
                   "curve_shift_um_k = 0 and curve_dark = 0 where they are not given");
}

// One capture has one scale; two would leave open which was meant.
void RequireOneWay(const IniFile& ini, std::string_view way) {
  for (const std::string_view other : {std::string_view("frames.scale"),
                                       std::string_view("frames.zero"),
                                       kTable,
                                       kGain,
                                       kWavelength,
                                       kShift,
                                       kDark}) {
    if (other == way || (way == kGain && other.starts_with("frames.curve_"))) continue;
    if (const auto entry = ini.Find(other)) {
      Fail(ini,
           *entry,
           "and " + std::string(way) +
               " both say how counts become kelvin; remove what does not belong to these frames");
    }
  }
}

CountScale ReadCurve(const IniFile& ini) {
  RequireOneWay(ini, kGain);
  SignalCurve curve;
  curve.gain = Needed(ini, kGain);
  curve.wavelength_um = Needed(ini, kWavelength);
  curve.shift_um_k = NumberOf(ini, kShift).value_or(0);
  curve.dark = NumberOf(ini, kDark).value_or(0);
  try {
    curve.Validate();
  } catch (const OptionError& error) {
    throw InputError(ini.file().string() +
                     ": the curve of frames.curve_* cannot be turned round: " + error.what());
  }
  CountScale scale;
  scale.curve = curve;
  return scale;
}

}  // namespace

std::optional<CountScale> ReadOtherScale(const IniFile& ini) {
  if (const auto table = ini.Find(kTable)) {
    RequireOneWay(ini, kTable);
    if (table->value.empty()) Fail(ini, *table, "is empty; name a file or remove the line");
    CountScale scale;
    scale.table = std::make_shared<const CountTable>(
        ReadCountTable(ini.file().parent_path() / table->value, kTable));
    return scale;
  }
  for (const std::string_view key : {kGain, kWavelength, kShift, kDark}) {
    if (ini.Find(key)) return ReadCurve(ini);
  }
  return std::nullopt;
}

bool StatesScale(const IniFile& ini) {
  return ini.Find("frames.unit") || ini.Find("frames.scale") || ini.Find("frames.zero") ||
         ReadOtherScale(ini);
}

bool ReadWindow(const IniFile& ini, SurfaceOptions& surface) {
  const auto share = NumberOf(ini, "surface.window_transmission");
  const auto celsius = NumberOf(ini, "surface.window_c");
  surface.window_k = surface.reflected_k;
  if (share) {
    if (!(*share > 0 && *share <= 1)) {
      Fail(ini,
           *ini.Find("surface.window_transmission"),
           "= " + Quoted(ini.Find("surface.window_transmission")->value) +
               "; must lie in (0, 1], 1 for no window");
    }
    surface.window_transmission = *share;
  }
  if (celsius) {
    if (!(*celsius >= -100 && *celsius <= 1000)) {
      Fail(ini,
           *ini.Find("surface.window_c"),
           "= " + Quoted(ini.Find("surface.window_c")->value) +
               "; must lie in -100 .. 1000 degrees Celsius");
    }
    surface.window_k = kZeroCelsiusK + *celsius;
  }
  return surface.window_transmission < 1 && !celsius;
}

}  // namespace ohmglow
