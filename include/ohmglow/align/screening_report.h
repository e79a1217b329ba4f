// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "ohmglow/base/image.h"
#include "ohmglow/base/remark.h"

namespace ohmglow {

/// A frame that takes no part, and why.
struct ExcludedFrame {
  enum class Kind {
    kDoubled,    ///< Repeats the frame before bit for bit.
    kFrozen,     ///< The same, while the shutter was closed.
    kSaturated,  ///< Most of its pixels are at the end of the range.
    kCovered,    ///< Something stands between board and camera.
    kUnread,     ///< The file is damaged there.
  };
  int index = 0;
  Kind kind = Kind::kDoubled;
  Remark why;  ///< Also FrameState::reason.
};

/// Something that happened at a frame of the capture.
struct ScreeningEvent {
  enum class Kind {
    kFreeze,   ///< The picture stood still; a new segment begins after it.
    kJump,     ///< The offset stepped without a freeze; a new segment begins here.
    kDoubled,  ///< One frame (or each of many) was written twice; no new segment.
    kLost,     ///< Frames are missing before this one, by the time table.
    kCovered,  ///< Something was held into the view.
  };
  Kind kind = Kind::kFreeze;
  int frame = 0;       ///< The first frame concerned.
  int length = 0;      ///< Frames concerned; missing ones at kLost; 0 at kJump.
  double step_k = 0;   ///< Change of the picture's mean [K]; of the covered part at kCovered.
  double shape_k = 0;  ///< Rms over the picture of the change beside its mean [K].
  Remark what;
};

/// What is wrong with a pixel of the sensor.
enum class PixelFault : unsigned char {
  kNone = 0,
  kDead,       ///< Never gives a value while its neighbours do.
  kStuck,      ///< Gives (nearly) the same value whatever happens.
  kBlinking,   ///< Jumps about far more than its neighbours.
  kDrifting,   ///< Wanders off alone, sharper than any optics show a part.
  kStandsOut,  ///< So far from its neighbours that no focused picture explains it.
  kSaturated,  ///< Never gives a value, nor do its neighbours.
};
inline constexpr int kPixelFaults = 7;  ///< kNone included.

/// The noise of one frame, parted by what it has in common [K]; 0 where it is
/// lost in the white noise's own uncertainty.
struct FrameNoise {
  double white_k = 0;   ///< Of each pixel by itself.
  double column_k = 0;  ///< Of whole columns, anew in each frame.
  double row_k = 0;     ///< Of whole rows, anew in each frame.
};

/// Everything screening found, before any motion is known. Frames that
/// registration drops later stand in FrameState alone.
struct ScreeningReport {
  std::vector<ExcludedFrame> excluded;  ///< By rising index.
  std::vector<ScreeningEvent> events;   ///< By rising frame.
  /// A PixelFault in each pixel, sensor coordinates.
  cv::Mat_<unsigned char> pixel_faults;
  FrameNoise noise;
  int saturated_for_a_while = 0;   ///< Pixels without a value in some of the used frames only.
  std::optional<int> lost_frames;  ///< Unset before a time table was screened.

  [[nodiscard]] int CountPixels(PixelFault fault) const;
};

/// Finds frames that are missing, as gaps in the frames' times: a gap is where
/// all later times slip by whole intervals, so that shaking times make none.
/// Adds the events to the report and sets `lost_frames`.
/// @param frame_times_s  one a frame, strictly rising.
/// @throws DataError  naming the first frame whose time repeats or runs
///   backwards: then neither the order of the frames nor the clock is known.
void ScreenTimes(const std::vector<double>& frame_times_s, ScreeningReport& report);

/// One word for a fault of a pixel, for lists and keys.
[[nodiscard]] const char* Name(PixelFault fault);
[[nodiscard]] const char* Name(ScreeningEvent::Kind kind);
[[nodiscard]] const char* Name(ExcludedFrame::Kind kind);

}  // namespace ohmglow
