// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "desk/capture.h"

namespace ohmglow::desk {

/// One of the tables that the page changes.
struct OwnTable {
  std::string key;             ///< "board.points"
  std::filesystem::path file;  ///< Whether or not it is there.
  bool named = false;          ///< Whether the case names it already.
};

/// @param fallback  what it is called where the case names none.
[[nodiscard]] OwnTable TableOf(const Capture& capture,
                               const Place& place,
                               const std::string& key,
                               const std::string& fallback);

/// The landmarks with how well they fit, contacts and what else the page shows of them.
[[nodiscard]] nlohmann::json ToTables(const Capture& capture, const Place& place);

/// The text of the table of landmarks with other rows.
/// @param rows  [{"row": number or absent, "frame": [x, y], "photo": [x, y]}]: what has no number
///              is new, what is not named is taken out.
/// @throws OptionError, nlohmann::json::exception
[[nodiscard]] std::string WithLandmarks(const std::string& text, const nlohmann::json& rows);

/// The same of contacts: "frame" and "name".
[[nodiscard]] std::string WithContacts(const std::string& text, const nlohmann::json& rows);

}  // namespace ohmglow::desk
