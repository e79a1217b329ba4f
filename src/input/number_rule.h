// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace ohmglow {

/// What a number of a case file has to be.
enum class NumberRule { kAny, kPositive, kFraction, kCelsius, kShrink };

[[nodiscard]] bool Obeys(double value, NumberRule rule);

/// "must be > 0"; empty for kAny.
[[nodiscard]] std::string Describe(NumberRule rule);

}  // namespace ohmglow
