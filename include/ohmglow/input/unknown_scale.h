// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"

namespace ohmglow {

/// What a count may mean: kelvin = zero_k + scale_k x count.
struct CountReading {
  std::string meaning;  ///< "hundredths of a degree Celsius (8.8 degrees Celsius)"
  double scale_k = 1;
  double zero_k = 0;
  std::string unit = {};  ///< The word for it, where there is one: "celsius".
};

/// Counts of which neither the case nor the first frame tells what they are. The message says what
/// to write, in a case file or on the command line.
class UnknownScaleError : public InputError {
 public:
  /// @param what      what the first frame shows.
  /// @param readings  what it may be, the likeliest first; empty: no usual scale fits.
  UnknownScaleError(const std::filesystem::path& source,
                    const std::string& what,
                    std::vector<CountReading> readings);
  [[nodiscard]] const std::vector<CountReading>& readings() const { return readings_; }
  /// What the first frame shows, alone.
  [[nodiscard]] const std::string& shown() const { return shown_; }

 private:
  std::string shown_;
  std::vector<CountReading> readings_;
};

}  // namespace ohmglow
