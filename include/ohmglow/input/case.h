// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/input/assumption.h"
#include "ohmglow/input/frame_source.h"
#include "ohmglow/input/log_reading.h"

namespace ohmglow {

/// A side of the board, not of the camera's view.
enum class BoardSide { kTop, kBottom };

/// What the bench supply recorded, on its own clock; all vectors of one length.
struct SupplyLog {
  std::vector<double> time_s;   ///< Strictly rising.
  std::vector<double> volts_v;  ///< NaN where the log has none.
  std::vector<double> amps_a;
  std::optional<WallTime> wall =
      std::nullopt;  ///< What its clock showed at time_s = 0, where the log says it.
};

/// A current that the supply was set to, noted by hand: which is known, when not quite.
struct SetLevel {
  double amps_a = 0;
  std::optional<double> start_s = {};  ///< On the frames' clock, about; unset: unknown.
  double within_s = 2;                 ///< 95 of 100 such times are no further off.
};

/// One landmark seen in the frame and in the photo, and perhaps on the board.
struct Landmark {
  Point frame_px;
  Point photo_px;
  std::optional<Point> board_mm;
};

struct Part {
  std::string ref;
  Point center_mm;  ///< Board coordinates.
  double width_mm = 0;
  double height_mm = 0;
  BoardSide side = BoardSide::kTop;
  std::string kind;  ///< Empty where the list has none.
};

/// A place where a lead of the supply touches the board, in reference-frame
/// pixels; may lie outside the frame.
struct Contact {
  Point frame_px;
  std::string name;
};

/// One capture of one side of one board, as a value. `frames` is the only
/// member that must be set; every other has a default or is unknown.
struct Case {
  std::filesystem::path file;  ///< Where it was read from; may be empty.
  std::string title;

  std::shared_ptr<FrameSource> frames;
  std::vector<double> frame_times_s;  ///< One per frame, strictly rising.
  /// Pixels, along and across, that are worked on as one (src/binning); unset: chosen by the scale.
  std::optional<int> binning = std::nullopt;

  std::optional<SupplyLog> supply;
  std::optional<LogReading> log_reading = std::nullopt;  ///< How the supply log was understood.
  /// Where there is no log: the currents in order, two or more. The first flowed
  /// from before the frames on, every change is in them.
  std::vector<SetLevel> levels;
  /// The supply's voltage setting: no level had more. Only where nothing logged volts.
  std::optional<double> most_volts_v;
  std::optional<double> clock_offset_s;  ///< Log time + this = frame time; unset: estimate.

  BoardSide side = BoardSide::kTop;  ///< The side that faces the camera.
  double mm_per_pixel = 0.5;
  double thickness_mm = 1.6;
  std::optional<double> sheet_conductance_w_k;  ///< Unset: estimate.
  std::optional<double> heat_capacity_j_m2k;    ///< Unset: from the thickness.
  cv::Mat photo;                                ///< 8-bit BGR, empty where there is none.
  std::vector<Landmark> landmarks;
  std::vector<Part> parts;
  std::vector<Contact> contacts;

  double emissivity = 0.93;        ///< Already applied by `frames`.
  double window_transmission = 1;  ///< Likewise.
  double film_w_m2k = 10;          ///< One side, convection and radiation.

  std::vector<Assumption> assumed;  ///< One per value that took part and was not given.
  /// Columns of numbers of a parts list that gave no body's size; empty elsewhere.
  std::string unsized_columns;
};

/// Reads a case file and all that it names (frames are opened, not loaded).
/// Format: the case folder, see ohmglow-case(5). Beside its keys,
/// frames.width_px and frames.height_px give the size of raw frames (16-bit
/// unsigned, the least significant byte first, no header). frames.scale is by
/// default 0.01 K per count for integers and 1 for floats; board.mm_per_pixel
/// comes by default from three or more landmarks with board coordinates.
/// @throws InputError  one line that names file, row, column or page.
[[nodiscard]] Case LoadCase(const std::filesystem::path& case_file);

}  // namespace ohmglow
