// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "desk/exchange.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/words/words.h"

namespace ohmglow::desk {

/// Text from files may hold any bytes; what is no UTF-8 is replaced.
[[nodiscard]] Reply JsonReply(const nlohmann::json& json, int status = 200);

/// Rows of 32-bit floats, the least significant byte first; the size stands in the
/// headers X-Width and X-Height.
[[nodiscard]] Reply PixelReply(const Image& image);

/// A number of the query.
/// @throws OptionError  missing or no finite number.
[[nodiscard]] double NumberOf(const Ask& ask, const std::string& name);
[[nodiscard]] Point PointOf(const Ask& ask);  ///< Of "x" and "y".

/// The words of reports in the language that is asked for; English where none is.
/// @throws OptionError  an unknown one.
[[nodiscard]] const Words& WordsOf(const Ask& ask);

}  // namespace ohmglow::desk
