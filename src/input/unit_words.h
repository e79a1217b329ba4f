// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// In lower case without accents, for Latin letters: "Napięcie" is "napiecie";
/// both micro signs are "u", every blank of Unicode is one blank. Other
/// characters stay.
[[nodiscard]] std::string Fold(std::string_view utf8);

/// What one number of a column counts.
enum class Dimension { kTime, kVolts, kAmps, kWatts, kLength, kCharge, kOther };

struct Unit {
  Dimension dimension = Dimension::kOther;
  double factor = 1;  ///< To seconds, volts, amps, watts or millimetres.
  std::string name;   ///< As we write it: "mA", "us", "mil".
};

/// "mA", "µs", "Volt", "sec.", "mils" ...; brackets around it do no harm.
/// Case does not count (MA is milliampere, as no bench reads megaampere).
[[nodiscard]] std::optional<Unit> ParseUnit(std::string_view text);

/// A cell of a header, taken apart: "Output Current / mA" is the words output
/// and current and the unit mA. Words end where letters change to digits,
/// signs or, in OneWord, to a capital.
struct HeaderCell {
  std::vector<std::string> words;  ///< Folded.
  std::optional<Unit> unit;
};
[[nodiscard]] HeaderCell ReadHeaderCell(std::string_view cell);

}  // namespace ohmglow
