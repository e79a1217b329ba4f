// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "desk/capture.h"
#include "desk/table_text.h"

namespace ohmglow::desk {

/// The landmarks with how well they fit, contacts and what else the page shows of them.
[[nodiscard]] nlohmann::json ToTables(const Capture& capture);

using RowChange =
    std::function<void(TableText& table, std::size_t row, const nlohmann::json& wanted)>;

/// A table with the rows that are named, in the order in which they are: those with "row" are old
/// ones, the others new; what is not named is taken out.
/// @throws OptionError, nlohmann::json::exception
[[nodiscard]] std::string WithRows(TableText table,
                                   const nlohmann::json& rows,
                                   const RowChange& change);

/// The text of the table of landmarks with other rows.
/// @param rows  [{"row": number or absent, "frame": [x, y], "photo": [x, y]}], see WithRows().
/// @param shrink  Capture::shrink.
/// @param axes_mm  FrameAxesMm(), where the landmarks have such millimetres.
/// @throws OptionError, nlohmann::json::exception
[[nodiscard]] std::string WithLandmarks(const std::string& text,
                                        const nlohmann::json& rows,
                                        int shrink = 1,
                                        std::optional<double> axes_mm = {});

/// The same of contacts: "frame" and "name".
[[nodiscard]] std::string WithContacts(const std::string& text,
                                       const nlohmann::json& rows,
                                       int shrink = 1);

}  // namespace ohmglow::desk
