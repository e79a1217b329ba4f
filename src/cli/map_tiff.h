// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "ohmglow/base/image.h"

namespace ohmglow::cli {

/// File bytes of a map: one page of 32-bit floats, not compressed. What a value
/// means stands in the tag ImageDescription, the scale in XResolution and
/// YResolution (pixels a centimetre).
/// Source: TIFF 6.0 (1992), sections 2, 4, 8 and 19 (SampleFormat).
/// @param description   ASCII.
/// @param mm_per_pixel  0: unknown.
[[nodiscard]] std::string MapTiff(const Image& map,
                                  const std::string& description,
                                  double mm_per_pixel);

}  // namespace ohmglow::cli
