// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

#include "ohmglow/words/words.h"
#include "record/prepare_supply.h"
#include "record/recorder.h"

namespace ohmglow::record {

/// Which supply it is, and how soon it would be off.
[[nodiscard]] std::string ReadyText(const Readiness& ready, const Words& words);

/// By hand: what to turn to now, in large letters and with a bell, for hands and eyes are at
/// the bench. 0 A: output off.
[[nodiscard]] std::string TurnText(double amps_a, const Words& words);

/// Why it ended, whether the output is off, and what the film is like.
[[nodiscard]] std::string EndText(const RecordingEnd& end,
                                  bool by_hand,
                                  const std::filesystem::path& folder,
                                  const Words& words);

}  // namespace ohmglow::record
