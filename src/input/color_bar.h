// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// A scale drawn into the pictures: a long narrow strip that stays, along which the row
/// of colours runs from one end to the other.
struct ColorBar {
  cv::Rect box;
  /// Values at even steps along it, rising: first that of its cold end.
  std::vector<float> values;
  bool warm_end_is_high = true;  ///< Upper or right end: common practice, no source.
};

/// @param pictures  of some frames of a capture, values 0 .. 255 along the row of colours,
///        NaN off it; at least one, of one size.
[[nodiscard]] std::optional<ColorBar> FindColorBar(const std::vector<Image>& pictures);

}  // namespace ohmglow
