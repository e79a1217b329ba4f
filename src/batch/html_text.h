// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace ohmglow::batch {

/// A text from a file for a page, between tags or in a double-quoted
/// attribute: & < > " ' escaped, control and direction characters removed.
/// @param max_chars  longer text ends in an ellipsis.
[[nodiscard]] std::string HtmlText(std::string_view text, std::size_t max_chars = 200);

/// A relative path for an attribute href or src: bytes other than letters,
/// digits and - . _ ~ / are written as %XX (RFC 3986, section 2.1). Begins with
/// "./", so that no name is taken for a scheme.
[[nodiscard]] std::string HtmlLink(std::string_view path);

}  // namespace ohmglow::batch
