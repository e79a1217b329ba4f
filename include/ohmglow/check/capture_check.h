// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/check/registration_check.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Whether a capture is worth an analysis as it is.
enum class Usable { kYes, kWithWarnings, kNo };

/// Something that the next capture should do otherwise.
struct ToDo {
  bool needed = false;  ///< Nothing can be found without it.
  Remark what;          ///< What to do, and where `why` is empty what is wrong now.
  Remark why;           ///< What is wrong now; may be empty.
};

/// Frames that were left out for one reason.
struct LeftOut {
  Remark reason;  ///< Of the first of them.
  int frames = 0;
};

/// How the view held still.
struct ViewCheck {
  RegistrationVerdict verdict = RegistrationVerdict::kNotTold;
  double error_px = 0;          ///< Expected error of a frame once registered, median.
  double largest_shift_px = 0;  ///< At the frame's corners.
  int shutter_events = 0;
};

/// What a capture is good for, found while the board still lies there.
struct CaptureCheck {
  std::string title;
  std::string case_file;
  std::vector<Assumption> assumed;
  Usable usable = Usable::kNo;
  std::vector<ToDo> todo;  ///< Needed ones first.

  int num_frames = 0;
  int num_looked_at = 0;  ///< Registered: every n-th where that is quicker.
  cv::Size size_px;
  FrameValues values = FrameValues::kKelvin;  ///< Relative: what is in kelvin or watts is unknown.
  double rate_hz = 0;
  double length_s = 0;
  int lost_frames = 0;            ///< By gaps of the times.
  std::vector<LeftOut> left_out;  ///< Of all frames; the commonest reason first.
  double coldest_k = 0;           ///< Of the first frame, 1 % of the pixels are colder ...
  double hottest_k = 0;           ///< ... and 1 % hotter.

  std::optional<double> noise_k;  ///< Of one pixel in one frame, as the camera shows it.
  std::optional<ViewCheck> view;
  std::vector<SupplyLevel> levels;
  std::optional<double> clock_offset_s;  ///< Log time + this = frame time.
  std::optional<double> clock_sigma_s;   ///< Standard error; empty where the offset was given.
  bool clock_open = false;               ///< It was searched, and several offsets fit.
  std::optional<double> top_amps_a;

  BoardSide side = BoardSide::kTop;
  double mm_per_pixel = 0;
  std::optional<double> place_error_mm;  ///< Of a place on the board, by the landmarks.
  bool has_parts = false;
  int num_parts = 0;                   ///< On the side seen; 0 where there is no list.
  std::optional<int> num_parts_seen;   ///< Of them, where the list is tied to the frames.
  Remark parts_unseen;                 ///< "U7, C12 and 5 others of the parts list"; may be empty.
  std::optional<double> detectable_w;  ///< Power from which a fault usually shows.
};

struct CaptureCheckOptions {
  LocateOptions locate;
  /// Pixels of all frames together that are registered; more are thinned out to
  /// every n-th frame. >= 1e5.
  double most_pixels = 4.8e6;

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Looks at a capture the way Locate() does, on few of its frames, and says what
/// it is good for and what to do again.
///
/// What is found wrong with the measurement is an answer (`usable`, `todo`), not
/// an exception. The least power is that of the frames looked at, 0.8 to 1.4
/// times that of all (measured on captures with known truth).
/// @throws OptionError; InputError (a frame that cannot be read).
[[nodiscard]] CaptureCheck CheckCapture(const Case& job, const CaptureCheckOptions& options);

}  // namespace ohmglow
