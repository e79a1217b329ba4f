// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "frame_unit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/input/radiometry.h"
#include "ohmglow/input/unknown_scale.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kFahrenheitK = 5.0 / 9;
constexpr double kZeroFahrenheitK = kZeroCelsiusK - 32 * kFahrenheitK;

// A unit and the medians with which a frame shows a bench in a room.
struct Reading {
  const char* name;
  const char* word;  // Of a case file; empty: scale and zero say it.
  double scale_k;
  double zero_k;
  double coldest_k;  // Degrees Fahrenheit of a cold room would be a hot board's Celsius.
  double hottest_k;
};

// A bench stands in a room; a board at rest, perhaps warm from its standby, fills the view.
// What lies outside may still be meant, so it is asked for, not taken.
constexpr double kHottestK = kZeroCelsiusK + 65;
// A hot board in Celsius has the number of a room in Fahrenheit: neither is taken then.
constexpr double kHottestCelsiusK = kZeroCelsiusK + 125;
constexpr double kColdestK = kZeroCelsiusK + 5;
constexpr double kHottestUsualK = kZeroCelsiusK + 50;
constexpr double kColdestUsualK = kZeroCelsiusK + 12;

constexpr std::array<Reading, 3> kOfFractions = {
    {{"kelvin", "kelvin", 1, 0, kColdestK, kHottestK},
     {"degrees Celsius", "celsius", 1, kZeroCelsiusK, kColdestK, kHottestCelsiusK},
     {"degrees Fahrenheit",
      "fahrenheit",
      kFahrenheitK,
      kZeroFahrenheitK,
      kZeroCelsiusK + 15.5,
      kHottestK}}};

constexpr std::array<Reading, 6> kOfWholes = {
    {{"hundredths of a kelvin", "", 0.01, 0, kColdestK, kHottestK},
     {"tenths of a kelvin", "", 0.1, 0, kColdestK, kHottestK},
     {"thousandths of a kelvin", "", 0.001, 0, kColdestK, kHottestK},
     {"64ths of a kelvin", "", 1.0 / 64, 0, kColdestK, kHottestK},
     {"hundredths of a degree Celsius", "", 0.01, kZeroCelsiusK, kColdestK, kHottestK},
     {"tenths of a degree Celsius", "", 0.1, kZeroCelsiusK, kColdestK, kHottestK}}};

// What is far above its room shows it: metal in view mirrors the room, edges and far parts are
// cooler. So a hundredth of the pixels lies below the middle by a tenth of what that is above a
// room of 23 degrees Celsius; common practice, no source.
constexpr double kRoomC = 23;
constexpr double kLeastSpread = 0.1;
constexpr std::size_t kLeastPixels = 1000;  // Fewer may all show one part.

double Kelvin(const Reading& reading, double median) {
  return reading.zero_k + reading.scale_k * median;
}

bool MayShowARoom(const Reading& reading, double median) {
  const double kelvin = Kelvin(reading, median);
  return kelvin >= reading.coldest_k && kelvin <= reading.hottest_k;
}

bool ShowsARoom(const Reading& reading, double median) {
  const double kelvin = Kelvin(reading, median);
  return kelvin >= kColdestUsualK && kelvin <= kHottestUsualK;
}

// "hundredths of a degree Celsius (8.6 degrees Celsius)".
std::string Meaning(const Reading& reading, double median) {
  const double celsius = Kelvin(reading, median) - kZeroCelsiusK;
  return std::string(reading.name) + " (" + FormatNumber(std::round(10 * celsius) / 10) +
         " degrees Celsius)";
}

}  // namespace

std::optional<CountUnit> FindCountUnit(const std::string& word) {
  const std::string lower = ToLower(word);
  if (lower == "kelvin") return CountUnit{"kelvin", 1, 0};
  if (lower == "celsius") return CountUnit{"degrees Celsius", 1, kZeroCelsiusK};
  if (lower == "fahrenheit") return CountUnit{"degrees Fahrenheit", kFahrenheitK, kZeroFahrenheitK};
  return std::nullopt;
}

std::optional<CountUnit> TellCountUnit(const std::filesystem::path& source, CountPages& pages) {
  if (pages.type() == CV_8U) return std::nullopt;  // A picture for the eye more likely.
  cv::Mat counts;
  ReadFirst(pages, counts);
  cv::Mat_<double> values;
  counts.convertTo(values, CV_64F);
  std::vector<double> finite;
  std::copy_if(values.begin(), values.end(), std::back_inserter(finite), [](double v) {
    return std::isfinite(v);
  });
  if (finite.empty()) return std::nullopt;
  const bool whole =
      std::all_of(finite.begin(), finite.end(), [](double v) { return v == std::floor(v); });
  const auto middle = finite.begin() + static_cast<std::ptrdiff_t>(finite.size() / 2);
  std::nth_element(finite.begin(), middle, finite.end());
  const bool integers = pages.type() != CV_32F;
  // Even as a room, which no board is at such a temperature.
  bool evenly_hot = false;
  if (finite.size() >= kLeastPixels && *middle > kHottestK - kZeroCelsiusK) {
    const double usual = *middle;
    const auto low = finite.begin() + static_cast<std::ptrdiff_t>(finite.size() / 100);
    std::nth_element(finite.begin(), low, middle);
    evenly_hot = usual - *low < kLeastSpread * (usual - kRoomC);
  }
  std::vector<const Reading*> fitting;
  // Floats may hold whole numbers of any of these.
  if (!integers) {
    for (const Reading& r : kOfFractions) {
      if (evenly_hot && r.hottest_k == kHottestCelsiusK) continue;
      if (MayShowARoom(r, *middle)) fitting.push_back(&r);
    }
  }
  if (whole) {
    for (const Reading& r : kOfWholes) {
      if (MayShowARoom(r, *middle)) fitting.push_back(&r);
    }
  }
  if (fitting.empty()) return std::nullopt;
  if (fitting.size() == 1 && ShowsARoom(*fitting.front(), *middle)) {
    return CountUnit{fitting.front()->name, fitting.front()->scale_k, fitting.front()->zero_k};
  }
  std::vector<CountReading> readings;
  for (const Reading* r : fitting) {
    readings.push_back({Meaning(*r, *middle), r->scale_k, r->zero_k, r->word});
  }
  const std::string shown =
      "the first frame's median " + FormatNumber(*middle) + " may be " + readings[0].meaning +
      (fitting.size() > 1 ? " or " + readings[1].meaning : ", or a scale of the camera's own");
  throw UnknownScaleError(source, shown, std::move(readings));
}

void ReadFirst(CountPages& pages, cv::Mat& counts) {
  for (int page = 0;; ++page) {
    try {
      return pages.Read(page, counts);
    } catch (const InputError&) {
      if (page + 1 >= pages.count() || !FewLost(page + 1, pages.count())) throw;
    }
  }
}

}  // namespace ohmglow
