// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/base/remark.h"

namespace ohmglow {

/// The line of Case::assumed on rows of the supply's log that are left out.
[[nodiscard]] std::string LostRows(std::size_t lost, std::size_t all, const std::string& reason);

/// What LostRows() says, taken apart again.
struct RowsLost {
  std::string lost;
  std::string all;
  std::string reason;
};
[[nodiscard]] std::optional<RowsLost> RowsLostOf(const std::vector<std::string>& assumed);

/// What was lost of the frames' file: cut off, of another size, links left out.
[[nodiscard]] std::vector<std::string> FramesLost(const std::vector<std::string>& assumed);

/// What a placement list lost of its rows; empty where nothing.
[[nodiscard]] std::string PartRowsLost(const std::vector<std::string>& assumed);

/// What was guessed of the log's columns and units; empty where its header told all.
[[nodiscard]] std::string LogGuesses(const std::vector<std::string>& assumed);

/// By what the frames' times were guessed; empty where something tells them.
[[nodiscard]] Remark TimesGuessedBy(const std::vector<std::string>& assumed);

/// How a line on regions goes on before their emissivities.
inline constexpr std::string_view kOtherEmissivity = " of another emissivity, ";

/// Emissivities of places, as Case::assumed tells them.
struct ToldEmissivity {
  double least = 1;
  double most = 1;     ///< The same where there is one.
  std::string places;  ///< "U3, SH2"; empty where they have no names.
};
[[nodiscard]] std::optional<ToldEmissivity> EmissivityOfRegions(
    const std::vector<std::string>& assumed);

}  // namespace ohmglow
