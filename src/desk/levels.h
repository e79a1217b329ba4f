// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "desk/capture.h"

namespace ohmglow::desk {

/// The currents that were set by hand, on the frames' clock: {version, table, rows}. No rows where
/// a log tells them.
[[nodiscard]] nlohmann::json ToLevels(const Capture& capture);

/// Such rows as a case file writes them: "0 0.5@6 0@12.35".
/// @param rows  [{"amps": number, "time_s": number or null}]; the first one flowed before the
///              frames, its time says nothing.
/// @throws InputError, OptionError  no currents, or none that could have been set in this order.
[[nodiscard]] std::string LevelsText(const nlohmann::json& rows);

/// The text of a table of steps with other rows, each with "row" where it is an old one.
/// @throws as LevelsText().
[[nodiscard]] std::string WithSteps(const std::string& text, const nlohmann::json& rows);

}  // namespace ohmglow::desk
