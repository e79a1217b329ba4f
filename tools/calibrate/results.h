// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace ohmglow::calibrate {

/// A place of a result and whether a fault is there.
struct Place {
  std::vector<double> values;  ///< Of the evidence, in the order asked for.
  double confidence = 0;       ///< As the result states it.
  bool is_fault = false;
};

struct Capture {
  std::string name;
  std::vector<Place> places;
  int num_faults = 0;  ///< In the truth, seen or not.
};

/// Reads RESULTS/<case>/result.json and TRUTH/<case>.truth.json of all cases
/// that have both, in the order of their names.
/// @param names  evidence to read; what a place was not asked counts 0.
/// @throws InputError  naming the file and what is wrong in it.
[[nodiscard]] std::vector<Capture> ReadCaptures(const std::filesystem::path& results,
                                                const std::filesystem::path& truth,
                                                const std::vector<std::string>& names);

}  // namespace ohmglow::calibrate
