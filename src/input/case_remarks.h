// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/base/remark.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// The value in a line "key = value" of Case::assumed; empty where it is another key's.
[[nodiscard]] std::optional<std::string_view> ValueOfAssumed(std::string_view line,
                                                             std::string_view key);

/// The value that was assumed of a key, "key = value" in Case::assumed; empty where it was given.
[[nodiscard]] std::optional<std::string_view> AssumedOf(const std::vector<std::string>& assumed,
                                                        std::string_view key);

/// Something of a capture that is not used, though it may well be there.
struct NotUsed {
  std::string key;   ///< "photo", "parts", "points", "contacts".
  std::string what;  ///< "photo", "parts list", "landmarks", "lead contacts".
  std::string why;   ///< What is wrong with it, or the question that is open.
};

/// What Case::assumed says to be none: files of a folder that could not be read
/// or of which several may be meant.
[[nodiscard]] std::vector<NotUsed> ListNotUsed(const std::vector<std::string>& assumed);

/// The columns of a placement list that hold numbers, where it gave no body's
/// size; by what was assumed of it. Empty elsewhere.
[[nodiscard]] std::string ColumnsOfSizes(const std::vector<std::string>& assumed);

/// How the line of Case::assumed ends that gives a scale which nothing told.
inline constexpr std::string_view kGuess = "(a guess)";
/// That line where a parts list may give the scale, once it is laid on the picture.
inline constexpr std::string_view kScaleByList =
    "board.mm_per_pixel = as the parts list lies on the picture";

/// The value of a scale that nothing told.
[[nodiscard]] std::string GuessedScale(double mm_per_pixel);

/// The whole line where no setting and no landmark tells the scale.
[[nodiscard]] std::string AssumedScale(double mm_per_pixel, bool has_parts);

/// Whether board.mm_per_pixel is a guess. Lengths and watts hang on it then.
[[nodiscard]] bool ScaleIsGuess(const std::vector<std::string>& assumed);

/// Replaces what was assumed of board.mm_per_pixel; does nothing where it was given.
void SetAssumedScale(const std::string& value, std::vector<std::string>& assumed);

/// Says where frames whose times are guessed last another time than the log
/// by more than half; empty elsewhere.
[[nodiscard]] Remark RemarkOnSpans(const Case& job);

}  // namespace ohmglow
