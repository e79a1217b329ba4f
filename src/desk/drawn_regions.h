// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "desk/capture.h"

namespace ohmglow::desk {

/// What the table of places with an emissivity of their own is called where the case names none.
inline constexpr const char* kRegionsKey = "surface.regions";
inline constexpr const char* kRegionsFile = "emissivity.csv";

/// Those places: {version, used, rows: [{row, emissivity, name, corners}]}, corners in points of
/// the frame, in turn; "used" is false where the frames are no temperatures. Places in millimetres
/// are told where landmarks tell how the board lies.
[[nodiscard]] nlohmann::json ToDrawnRegions(const Capture& capture);

/// That table without places.
[[nodiscard]] std::string EmptyRegions();

/// The text of that table with one place drawn, changed or taken out.
/// @param change  {"row": number or null, "emissivity": number, "box": [[x, y], [x, y]]} or {"row",
///                "remove"}; what is not there stays.
/// @throws OptionError, nlohmann::json::exception
[[nodiscard]] std::string WithRegion(const std::string& text, const nlohmann::json& change);

}  // namespace ohmglow::desk
