// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/part_form.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <string>

#include "base/normal_density.h"

namespace ohmglow {
namespace {

// Log-normal laws of width and half time of what a class of source shows.
struct FormLaw {
  double width_mm, width_log_sigma;
  double half_s, half_log_sigma;
};

// Medians and spreads over simulated captures (tools/simulate, seeds 7001..7057
// of boards 0.6 to 2 mm thick, 18 to 70 um of copper), spreads rounded up for
// boards unlike those. They agree with the ranges of finite-element boards:
// chip 0.8 to 2.9 mm and 0.1 to 1.1 s, moulded 5 to 11 mm and 1.2 to 1.9 s, far
// side 4 to 17 mm and 0.9 to 3.5 s (without the camera's blur).
constexpr FormLaw kChipLaw = {3.2, 0.25, 0.35, 0.8};
constexpr FormLaw kFarLaw = {9.8, 0.35, 2.2, 0.27};
// A power part's vias carry its heat to the other side.
constexpr FormLaw kFarPowerLaw = {8.8, 0.3, 1.75, 0.25};
constexpr FormLaw kAnyBodyLaw = {6.0, 0.4, 1.72, 0.3};
// A moulded body shows as wide as it is, a large one a little less; the mould
// delays by thickness^2/diffusivity, whatever its width.
constexpr double kWidthOfBody = 1.17;
constexpr double kWidestMm = 11;
constexpr double kBodyHalfS = 1.72;
constexpr double kBodyWidthSpread = 0.2;
constexpr double kBodyHalfSpread = 0.22;
constexpr double kCoverWidthSpread = 0.4;
constexpr double kCoverHalfSpread = 0.5;
// Narrower ones take up their heat like chips.
constexpr double kLeastBodyMm = 2.5;
// Noise of the rise, as noise of log(width) and log(time).
constexpr double kWidthNoise = 1.5;
constexpr double kHalfNoise = 2;
constexpr double kMostNoise = 3;
// A form like none of these: evenly over the logarithms.
constexpr double kOddProb = 0.03;
constexpr double kOddDensity = 1.0 / 14;

double Density(const HeatForm& form, const FormLaw& law) {
  const double noise = std::min(form.log_sigma, kMostNoise);
  const double width = NormalDensity(std::log(form.width_mm / law.width_mm),
                                     std::hypot(law.width_log_sigma, kWidthNoise * noise));
  const double half = NormalDensity(std::log(std::max(form.half_s, 0.03) / law.half_s),
                                    std::hypot(law.half_log_sigma, kHalfNoise * noise));
  return (1 - kOddProb) * width * half + kOddProb * kOddDensity;
}

FormLaw BodyLaw(const Part& part, bool cover) {
  const double size_mm = std::sqrt(part.width_mm * part.height_mm);
  const double narrowed = std::pow(1 + std::pow(size_mm / kWidestMm, 4), 0.25);
  return {kWidthOfBody * size_mm / narrowed,
          cover ? kCoverWidthSpread : kBodyWidthSpread,
          kBodyHalfS,
          cover ? kCoverHalfSpread : kBodyHalfSpread};
}

// "C12" -> "c", "sh1" -> "sh".
std::string Letters(const std::string& text) {
  std::string letters;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalpha(byte) == 0) break;
    letters.push_back(static_cast<char>(std::tolower(byte)));
  }
  return letters;
}

bool IsAny(const std::string& word, std::initializer_list<const char*> words) {
  return std::any_of(words.begin(), words.end(), [&](const char* w) { return word == w; });
}

std::string WordOf(const Part& part) { return Letters(part.kind.empty() ? part.ref : part.kind); }

}  // namespace

PartClass ClassOf(const Part& part) {
  const std::string word = WordOf(part);
  if (IsAny(word, {"cap", "capacitor", "res", "resistor", "chip", "c", "r"})) {
    return PartClass::kChip;
  }
  if (IsAny(word, {"ic", "circuit", "regulator", "u"})) return PartClass::kMoulded;
  if (IsAny(word, {"mosfet", "transistor", "diode", "q", "d"})) return PartClass::kPower;
  if (IsAny(word, {"inductor", "coil", "connector", "can", "shield", "l", "j", "p", "sh"})) {
    return PartClass::kCover;
  }
  return PartClass::kOther;
}

double ShortWeight(const Part& part) {
  // Common practice, no source: capacitors, circuits and power parts break down
  // to a short; resistors and coils break open, and warm only as they carry it.
  const std::string word = WordOf(part);
  if (IsAny(word, {"res", "resistor", "r", "inductor", "coil", "l"})) return 0.2;
  switch (ClassOf(part)) {
    case PartClass::kChip:
    case PartClass::kMoulded:
    case PartClass::kPower:
      return 1;
    case PartClass::kCover:
      return 0.1;
    case PartClass::kOther:
      break;
  }
  return 0.5;
}

bool HasMetalTop(const Part& part) { return IsAny(WordOf(part), {"can", "shield", "sh"}); }

double FarShiftMm(const Part& part) {
  constexpr double kThroughCopperMm = 1.2;
  constexpr double kThroughViasMm = 0.5;
  return ClassOf(part) == PartClass::kPower ? kThroughViasMm : kThroughCopperMm;
}

double FormDensity(const HeatForm& form, const Part& part, bool near) {
  if (!form.Known()) return 1;
  const PartClass kind = ClassOf(part);
  if (!near) return Density(form, kind == PartClass::kPower ? kFarPowerLaw : kFarLaw);
  if (kind == PartClass::kCover) return Density(form, BodyLaw(part, true));
  const bool small = std::min(part.width_mm, part.height_mm) < kLeastBodyMm;
  return Density(form, small || kind == PartClass::kChip ? kChipLaw : BodyLaw(part, false));
}

double UnlistedFormDensity(const HeatForm& form, bool near, double body_share) {
  if (!form.Known()) return 1;
  if (!near) return Density(form, kFarLaw);
  return (1 - body_share) * Density(form, kChipLaw) + body_share * Density(form, kAnyBodyLaw);
}

}  // namespace ohmglow
