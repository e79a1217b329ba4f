// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// A text as UTF-8, without a byte order mark, and how its bytes were read.
struct DecodedText {
  std::string utf8;
  std::string encoding;  ///< The name of iconv, such as "UTF-16LE".
};

/// Every reading of the bytes as text, the likeliest first: what a byte order
/// mark says, else UTF-8 where the bytes are that, else UTF-16 where every
/// other byte tends to be zero, else the code pages of one byte and those of
/// East Asia (a reader takes the one in which it knows the most words).
/// Empty where the bytes are no text. Pure; any bytes may be given.
[[nodiscard]] std::vector<DecodedText> DecodeText(std::string_view bytes);

/// The bytes in another encoding; nothing where some are not of it, or where
/// the system does not know it. @param encoding  a name that iconv knows.
[[nodiscard]] std::optional<std::string> ToUtf8(std::string_view bytes, const char* encoding);

}  // namespace ohmglow
