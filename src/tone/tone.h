// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "ohmglow/align/alignment.h"
#include "ohmglow/base/image.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow {

/// How one picture shows the scene: shown = zero + gain x value, where value is on
/// the scale that all frames of the capture have in common.
struct Tone {
  double gain = 1;
  double zero = 0;
};

struct Tones {
  std::vector<Tone> of_frame;  ///< One a frame of the source.
};

struct ToneOptions {
  double low_share = 0.03;   ///< Of the pixels: levels are compared from this quantile ...
  double high_share = 0.80;  ///< ... to this one: what lies above may be what warms.
  int grid_px = 3;       ///< Spacing of the places at which registered frames are compared; >= 1.
  double blur_px = 1.2;  ///< Standard deviation of what is taken together at a place; > 0.
  int around = 7;        ///< Places a side that make the surroundings of one; odd, >= 3.
  int rounds = 4;        ///< Alternations between scene and tones; >= 1.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Gain and zero of each frame by the levels of its pixels alone, for frames that nobody
/// has registered yet: their lower and middle quantiles against those of the first frame.
/// Good to a few per cent: enough to register, not to measure heat.
/// @throws InputError  where a frame cannot be read.
[[nodiscard]] Tones MatchLevels(FrameSource& frames, const ToneOptions& options);

/// A registered frame at a grid of places: what is solved from.
struct ToneSample {
  int frame = 0;
  Image shown;  ///< NaN outside the frame and at marks.
};

/// @return one of each used frame, at most `most_places` places in all of them together.
[[nodiscard]] std::vector<ToneSample> SampleFrames(FrameSource& frames,
                                                   const Alignment& alignment,
                                                   const ToneOptions& options);

/// Gain and zero of each used frame from what does not warm. The gain is that of fine
/// detail (a place against its surroundings), which a board that warms as a whole does
/// not change; places that depart from it (what warms) lose their weight.
/// @param start  as MatchLevels() has them.
/// Sources: Tukey's biweight (Holland, Welsch, Comm. Statist. A6 (1977) 813-827),
/// reweighted least squares.
[[nodiscard]] Tones SolveTones(const std::vector<ToneSample>& samples,
                               Tones start,
                               const ToneOptions& options);

/// Pixels that show something drawn into the pictures, 255: the shown value stays while
/// the scene's wanders with the range, or stands at an end of it from first to last.
/// @param tones  as MatchLevels() has them.
[[nodiscard]] Mask FindMarks(FrameSource& frames, const Tones& tones);

/// Where the pictures show the upper end of their range over a patch of pixels: share of
/// the frames, in the view of the reference frame. What is warmer there is not known.
[[nodiscard]] Image ClippedShare(FrameSource& frames, const Alignment& alignment);

/// The frames of a source on one common scale; marks are NaN.
class TonedFrames final : public FrameSource {
 public:
  /// @param marks  255 where nothing is to be believed; may be empty.
  TonedFrames(FrameSource& source, Tones tones, Mask marks);
  [[nodiscard]] int count() const override { return source_.count(); }
  [[nodiscard]] cv::Size size_px() const override { return source_.size_px(); }
  [[nodiscard]] FrameValues values() const override { return source_.values(); }
  void Read(int index, Image& values) override;
  [[nodiscard]] const Tones& tones() const { return tones_; }
  void SetTones(Tones tones) { tones_ = std::move(tones); }
  [[nodiscard]] const Mask& marks() const { return marks_; }

 private:
  FrameSource& source_;
  Tones tones_;
  Mask marks_;
};

}  // namespace ohmglow
