// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow::internal {

/// What of the capture was lost or guessed and may change the answer, in one
/// short sentence; empty where nothing was. What the advice says anyhow is not in it.
[[nodiscard]] std::string LossNote(const LocateResult& result, const Words& words);

/// Which emissivity was told of which places; empty where none was, or none took part.
[[nodiscard]] std::string EmissivityNote(const LocateResult& result, const Words& words);

}  // namespace ohmglow::internal
