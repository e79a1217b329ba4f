// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace ohmglow {

/// Without spaces, tabs and line ends at either end.
[[nodiscard]] std::string_view Trim(std::string_view text);

/// ASCII, whatever the locale.
[[nodiscard]] constexpr bool IsDigit(char c) { return c >= '0' && c <= '9'; }

/// ASCII letters in lower case.
[[nodiscard]] std::string ToLower(std::string_view text);

/// A finite number that fills the whole of `text` (decimal point, exponent and
/// sign allowed), else nothing.
[[nodiscard]] std::optional<double> ParseNumber(std::string_view text);

/// The shortest text that reads back as the same number.
[[nodiscard]] std::string FormatNumber(double value);

/// The same on one line: control characters become blanks.
[[nodiscard]] std::string OneLine(std::string text);

/// Text from a file made fit for a one-line message: in quotes, control
/// characters replaced, cut at 60 characters.
[[nodiscard]] std::string Quoted(std::string_view text);

/// The candidate with the fewest edits to `word` (Levenshtein distance).
/// @param candidates  at least one.
[[nodiscard]] std::string Closest(std::string_view word, std::span<const std::string> candidates);

/// @throws InputError  where `file` is missing or not an ordinary file, saying
///         which setting or option named it (`named_by`; may be empty).
void RequireFile(const std::filesystem::path& file, std::string_view named_by = {});

/// The bytes of a file that ought to be text.
/// @throws InputError  missing, a folder, unreadable or over 64 MB.
[[nodiscard]] std::string ReadFileBytes(const std::filesystem::path& file,
                                        std::string_view named_by = {});

/// A whole text file as UTF-8, without its byte order mark.
/// @throws InputError  as above, or no text in any encoding that is known.
[[nodiscard]] std::string ReadTextFile(const std::filesystem::path& file,
                                       std::string_view named_by = {});

}  // namespace ohmglow
