// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "tone/tone.h"

namespace ohmglow {

/// Pictures on one common scale, and where they belong.
struct TonedCapture {
  std::unique_ptr<TonedFrames> frames;  ///< Refers to the source.
  Alignment alignment;
  Image clipped_share;  ///< ClippedShare() of the pictures.
};

/// Brings the pictures of a capture onto one scale and registers them, by turns: levels
/// are good enough to register by, and what is registered tells gain and zero exactly.
/// @param frames  pictures (with a range()); must outlive the result.
/// @throws DataError, InputError  see Align().
[[nodiscard]] TonedCapture ToneAndAlign(FrameSource& frames,
                                        const AlignOptions& align,
                                        const ToneOptions& options);

}  // namespace ohmglow
