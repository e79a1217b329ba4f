// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/align/alignment.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/words/words.h"

namespace ohmglow {
struct PartMatch;
}

namespace ohmglow::internal {

/// Keys keep the order in which they were put.
using Json = nlohmann::ordered_json;

/// A name from a file, cleaned and cut at 200 characters.
[[nodiscard]] std::string CleanName(const std::string& text);

/// The last part of a path, whatever the separator: file names are data as well.
[[nodiscard]] std::string FileName(const std::string& path);

/// Rounded to significant digits; a number that is unknown (unset, not finite) is
/// absent, never null or made up.
void Put(Json& json, const char* key, double value, int digits);
void Put(Json& json, const char* key, const std::optional<double>& value, int digits);

/// For quantities where zero or less stands for "not known".
void PutPositive(Json& json, const char* key, double value, int digits);

/// A thousandth of a pixel or millimetre, whatever the size.
void PutPlace(Json& json, const char* x_key, const char* y_key, const std::optional<Point>& p);

/// Cleaned, each cut at 500 characters.
[[nodiscard]] Json Sentences(const std::vector<std::string>& sentences);

/// Remarks as values: {"kind": ..., and its numbers; names and phrases as lists}.
[[nodiscard]] Json Values(const Remark& remark);
[[nodiscard]] Json Values(const std::vector<Remark>& remarks);

/// The same read again; empty where this version does not know the kind.
/// @param most_depth  of remarks within remarks; ours have three.
[[nodiscard]] std::optional<Remark> ReadRemark(const Json& json, int most_depth = 8);

/// The parts at a place, one object each: `ref`, `probability`, and `side` where it was noted.
[[nodiscard]] Json PartRows(const std::vector<PartMatch>& parts);

/// What screening found beside the frames that it dropped.
[[nodiscard]] Json ScreeningJson(const ScreeningReport& screening,
                                 int num_segments,
                                 const Words& words = Words::Report());

/// "shift", "rigid", "similarity" or "projective".
[[nodiscard]] std::string_view MotionModelKey(MotionModel model);

/// The file's text: two spaces of indent, a newline at the end.
[[nodiscard]] std::string ToText(const Json& json);

}  // namespace ohmglow::internal
