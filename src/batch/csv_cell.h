// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace ohmglow::batch {

/// A text from a file as one cell of a comma-separated table, quoted as in RFC
/// 4180 where need be. A spreadsheet must not take it for a formula: where the
/// text, or what follows a comma, semicolon, tab or quote in it, begins with
/// = + - @ or one of their wide forms, an apostrophe is set before; a text that
/// is a number as a whole stays as it is. Control characters go, at most 500
/// characters are kept.
/// Source: OWASP, "CSV Injection" (community page, owasp.org), which names the
/// characters and the apostrophe.
[[nodiscard]] std::string CsvCell(std::string_view text);

}  // namespace ohmglow::batch
