// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/base/remark.h"
#include "ohmglow/input/assumption.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Something of a capture that is not used, though it may well be there.
struct NotUsed {
  Remark what;      ///< "No photo is used".
  std::string why;  ///< What is wrong with it, or the question that is open.
};

/// What Case::assumed says is not used: files of a folder that could not be read
/// or of which several may be meant.
[[nodiscard]] std::vector<NotUsed> ListNotUsed(const std::vector<Assumption>& assumed);

/// By what the frames' times were guessed; empty where something tells them.
[[nodiscard]] Remark TimesGuessedBy(const std::vector<Assumption>& assumed);

/// The scale where no setting and no landmark tells it.
[[nodiscard]] Assumption AssumedScale(double mm_per_pixel, bool has_parts);

/// Whether board.mm_per_pixel is a guess. Lengths and watts hang on it then.
[[nodiscard]] bool ScaleIsGuess(const std::vector<Assumption>& assumed);

/// Replaces what was assumed of board.mm_per_pixel; does nothing where it was given.
void SetAssumedScale(Assumption scale, std::vector<Assumption>& assumed);

/// Says where frames whose times are guessed last another time than the log
/// by more than half; empty elsewhere.
[[nodiscard]] Remark RemarkOnSpans(const Case& job);

}  // namespace ohmglow
