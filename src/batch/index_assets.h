// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace ohmglow::batch {

/// Style of index.html. Badges differ in shape, frame and word, not by colour
/// alone; each pair of text and ground reaches 4.5 : 1 (WCAG 2.2, 1.4.3).
extern const std::string_view kIndexStyle;

/// Script of index.html: sorts the rows by a click on a column's head.
extern const std::string_view kIndexScript;

/// Its SHA-256 in base64: the page allows this script and no other.
extern const std::string_view kIndexScriptHash;

}  // namespace ohmglow::batch
