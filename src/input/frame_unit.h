// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "count_pages.h"

namespace ohmglow {

/// What the numbers of frames mean: kelvin = zero_k + scale_k x number.
struct CountUnit {
  std::string name;  ///< "degrees Celsius", "hundredths of a kelvin", ...
  double scale_k = 1;
  double zero_k = 0;
};

/// The unit a case file names: kelvin, celsius or fahrenheit; nothing for other words.
/// SI Brochure, 9th ed., 2.3.1; 1 degree Fahrenheit is 5/9 K and 32 of them 0 degrees Celsius.
[[nodiscard]] std::optional<CountUnit> FindCountUnit(const std::string& word);

/// The one unit in which the first frame shows a bench in a room, its median between
/// 5 and 65 degrees Celsius: kelvin, degrees Celsius or Fahrenheit where the numbers
/// have fractions (Celsius up to 125, so that Fahrenheit is asked for), parts of them where they
/// are whole (0.01, 0.1 and 0.001 K, 1/64 K, 0.01 and 0.1 degrees Celsius).
/// @param source  for messages.
/// @return  nothing where none fits.
/// @throws InputError  naming both where two fit.
[[nodiscard]] std::optional<CountUnit> TellCountUnit(const std::filesystem::path& source,
                                                     CountPages& pages);

/// The first page that can be read, of the first tenth.
/// @throws InputError  where none can.
void ReadFirst(CountPages& pages, cv::Mat& counts);

}  // namespace ohmglow
