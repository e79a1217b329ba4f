// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "scale_check.h"

#include <algorithm>
#include <cmath>

#include "base/median.h"
#include "frame_unit.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/unknown_scale.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kColdestBoardK = 200;
constexpr double kHottestBoardK = 700;

std::optional<double> MedianCount(const cv::Mat& counts) {
  cv::Mat_<double> values;
  counts.convertTo(values, CV_64F);
  std::vector<double> finite;
  std::copy_if(values.begin(), values.end(), std::back_inserter(finite), [](double v) {
    return std::isfinite(v);
  });
  if (finite.empty()) return std::nullopt;
  return MedianOf(finite);
}

// What to correct, with the settings' names.
std::string Settings(const CountScale& scale) {
  if (scale.table) {
    return "by frames.table, whose counts run from " + FormatNumber(scale.table->lowest()) +
           " to " + FormatNumber(scale.table->highest()) +
           "; see whether it belongs to this camera and range";
  }
  if (scale.curve) return "by frames.curve_*; see whether they belong to this camera and range";
  return "with frames.scale = " + FormatNumber(scale.scale_k) +
         " and frames.zero = " + FormatNumber(scale.zero_k) +
         "; correct them (zero = 273.15 where values are degrees Celsius)";
}

}  // namespace

void CheckScale(const std::filesystem::path& source,
                CountPages& pages,
                const CountScale& scale,
                bool is_stated) {
  cv::Mat counts;
  ReadFirst(pages, counts);
  const auto median = MedianCount(counts);
  if (!median) throw InputError(source.string() + ": the first frame holds no finite value");
  const double kelvin = scale.Apparent(*median);
  if (kelvin >= kColdestBoardK && kelvin <= kHottestBoardK) return;
  if (!is_stated) {
    throw UnknownScaleError(source,
                            "the first frame's median count " + FormatNumber(*median) +
                                " is no temperature of a board at any usual scale",
                            {});
  }
  const std::string means = std::isnan(kelvin)
                                ? "no temperature"
                                : FormatNumber(kelvin) + " K, no temperature of a board,";
  throw InputError(source.string() + ": the first frame's median count " + FormatNumber(*median) +
                   " means " + means + " " + Settings(scale));
}

std::optional<double> MmPerPixel(const std::vector<Landmark>& landmarks) {
  struct Pair {
    double px = 0;
    double mm = 0;
  };
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < landmarks.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (!landmarks[i].board_mm || !landmarks[j].board_mm) continue;
      pairs.push_back({cv::norm(landmarks[i].frame_px - landmarks[j].frame_px),
                       cv::norm(*landmarks[i].board_mm - *landmarks[j].board_mm)});
    }
  }
  if (pairs.size() < 3) return std::nullopt;
  double longest_px = 0;
  for (const Pair& pair : pairs) longest_px = std::max(longest_px, pair.px);
  std::vector<double> ratios;
  for (const Pair& pair : pairs) {
    // Near landmarks say little: their marking errors weigh more.
    if (pair.px >= 0.5 * longest_px && pair.px > 1 && pair.mm > 0) {
      ratios.push_back(pair.mm / pair.px);
    }
  }
  if (ratios.empty()) return std::nullopt;
  return std::round(MedianOf(ratios) * 1e4) / 1e4;
}

}  // namespace ohmglow
