// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cstddef>
#include <optional>
#include <string>

#include "ohmglow/picture/growth_report.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

// As result.json has them.
constexpr int kTimeDigits = 9;
constexpr int kAmpsDigits = 6;
constexpr int kValueDigits = 4;
constexpr int kErrorDigits = 2;

std::string Cell(std::optional<double> value, int digits) {
  return value ? internal::FormatDigits(*value, digits) : "";
}

std::string Row(std::size_t place, const GrowthPoint& point) {
  return std::to_string(place) + ',' + Cell(point.time_s, kTimeDigits) + ',' +
         Cell(point.amps_a, kAmpsDigits) + ',' + Cell(point.rise_k, kValueDigits) + ',' +
         Cell(point.area_mm2, kValueDigits) + ',' + Cell(point.heat_k_mm2, kValueDigits) + ',' +
         Cell(point.fit_k, kValueDigits) + ',' + Cell(point.fit_sigma_k, kErrorDigits) + '\n';
}

}  // namespace

std::string ToGrowthCsv(const LocateResult& result) {
  std::string text =
      result.values == FrameValues::kRelative
          ? "candidate,time_s,amps,rise_relative,area_mm2,heat_relative_mm2,fit_relative,"
            "fit_sigma_relative\n"
          : "candidate,time_s,amps,rise_k,area_mm2,heat_k_mm2,fit_k,fit_sigma_k\n";
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    for (const GrowthPoint& point : result.candidates[i].growth) text += Row(i + 1, point);
  }
  return text;
}

}  // namespace ohmglow
