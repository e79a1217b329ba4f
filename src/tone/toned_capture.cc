// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tone/toned_capture.h"

#include <utility>

namespace ohmglow {

TonedCapture ToneAndAlign(FrameSource& frames,
                          const AlignOptions& align,
                          const ToneOptions& options) {
  TonedCapture out;
  const Tones levels = MatchLevels(frames, options);
  const Mask marks = FindMarks(frames, levels);
  out.frames = std::make_unique<TonedFrames>(frames, levels, marks);
  out.alignment = Align(*out.frames, align);
  // As shown, but for the marks.
  Tones as_shown;
  as_shown.of_frame.resize(levels.of_frame.size());
  TonedFrames shown(frames, std::move(as_shown), marks);
  const std::vector<ToneSample> samples = SampleFrames(shown, out.alignment, options);
  out.frames->SetTones(SolveTones(samples, levels, options));
  out.clipped_share = ClippedShare(frames, out.alignment);
  return out;
}

}  // namespace ohmglow
