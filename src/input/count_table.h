// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string_view>
#include <vector>

namespace ohmglow {

/// Apparent temperature at some counts; a cubic between them that never turns
/// back where the rows do not.
/// Source: Fritsch, Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246; slopes by
/// Fritsch, Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304 (from memory).
class CountTable {
 public:
  /// @param counts  at least two, strictly rising.
  /// @param kelvin  as many, strictly rising or strictly falling.
  CountTable(std::vector<double> counts, std::vector<double> kelvin);

  /// NaN beyond the rows: what lies there nobody has measured.
  [[nodiscard]] double Kelvin(double count) const;
  [[nodiscard]] double lowest() const { return counts_.front(); }
  [[nodiscard]] double highest() const { return counts_.back(); }

 private:
  std::vector<double> counts_;
  std::vector<double> kelvin_;
  std::vector<double> slopes_;  // Kelvin per count at each row.
};

/// A table with the columns count and either kelvin or celsius.
/// @throws InputError  naming row and column: fewer than two rows, counts that do
///         not rise, temperatures that turn back (a count would have two).
[[nodiscard]] CountTable ReadCountTable(const std::filesystem::path& file,
                                        std::string_view named_by);

}  // namespace ohmglow
