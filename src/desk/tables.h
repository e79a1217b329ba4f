// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "desk/capture.h"

namespace ohmglow::desk {

/// The landmarks with how well they fit, contacts and what else the page shows of them.
[[nodiscard]] nlohmann::json ToTables(const Capture& capture);

/// The text of the table of landmarks with other rows.
/// @param rows  [{"row": number or absent, "frame": [x, y], "photo": [x, y]}]: what has no number
///              is new, what is not named is taken out.
/// @param shrink  Capture::shrink.
/// @throws OptionError, nlohmann::json::exception
[[nodiscard]] std::string WithLandmarks(const std::string& text,
                                        const nlohmann::json& rows,
                                        int shrink = 1);

/// The same of contacts: "frame" and "name".
[[nodiscard]] std::string WithContacts(const std::string& text,
                                       const nlohmann::json& rows,
                                       int shrink = 1);

}  // namespace ohmglow::desk
