// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>

#include "scenario.h"

namespace ohmglow::simulate {

/// A description: the text of each key, `section.name` -> value.
///
/// A number is `3`, a range `2..5` (uniform), `0.01~0.1` (uniform in the
/// logarithm), each perhaps behind a probability: `0.3? 1..2` is 0 seven times
/// in ten. A word is one of `arm|hand`, all alike probable.
using Description = std::map<std::string, std::string>;

/// Reads an .ini file; keys left out keep their defaults.
/// @throws InputError  naming file, key and rule.
[[nodiscard]] Description ReadDescription(const std::filesystem::path& file);

/// All defaults.
[[nodiscard]] Description DefaultDescription();

/// Draws every value. Each key has its own stream of chance, so changing one
/// leaves the others as they were.
/// @throws InputError  naming the key, its value and the rule it breaks.
[[nodiscard]] Scenario Draw(const Description& description, std::uint64_t seed);

/// One line a key: name, default, meaning.
[[nodiscard]] std::string DescribeKeys();

}  // namespace ohmglow::simulate
