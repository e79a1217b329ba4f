// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace ohmglow::desk {

/// A word that nobody can guess: 128 bits of the system's own randomness as 32
/// hexadecimal digits.
/// @throws OutputError  where the system gives no randomness.
[[nodiscard]] std::string NewToken();

/// Compares in a time that does not tell how many characters agree.
[[nodiscard]] bool SameToken(std::string_view given, std::string_view token);

}  // namespace ohmglow::desk
