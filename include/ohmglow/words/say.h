// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/base/remark.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// A remark in the words of a catalogue of reports (Words::Report()): "remark." and the
/// kind's key, or that with ".one" where the remark's `count` is 1 and the catalogue has it.
/// In the catalogue {name} is a phrase, a list or a whole number; {name:2} a number with two
/// decimals, {name:+3} with its sign, {name:3g} with three digits that tell, {name:2d} the
/// same in plain decimals, zeros kept, {name:short} two digits or whole; {name:ohm} a
/// resistance with its unit. Lists are parted by commas and "and"; {name:commas} by commas
/// alone, {name:semicolons} by semicolons and "and"; {name:in_short} as SayInShort() says them.
[[nodiscard]] std::string Say(const Remark& remark, const Words& words = Words::Report());

/// What remarks of a kind have in common, without what is of the one: for counting them.
[[nodiscard]] std::string SayInShort(const Remark& remark, const Words& words = Words::Report());

[[nodiscard]] std::vector<std::string> SayAll(const std::vector<Remark>& remarks,
                                              const Words& words = Words::Report());

}  // namespace ohmglow
