// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <mutex>
#include <optional>
#include <vector>

#include "board.h"
#include "drive.h"
#include "limits.h"
#include "march.h"
#include "motion.h"
#include "optics.h"
#include "radiance.h"
#include "sensor.h"
#include "sources.h"
#include "stack.h"

namespace ohmglow::simulate {

/// Everything of a case but the frames: drawn, known, and true.
struct Setting {
  Scenario scenario;
  Board board;
  BoardStack stack;
  Drive drive;
  std::vector<HeatSource> sources;
  View view;
  View photo_view;
  PlaneMap frame_from_board;  ///< Of frame 0.
  PlaneMap photo_from_board;
  std::vector<double> times_s;           ///< Of the frames; frame 0 is at 0.
  std::vector<Similarity> motion;        ///< What comes after the sway of the axis.
  std::vector<cv::Vec2d> tilt_sway_deg;  ///< Of the axis; empty without.

  /// Where a pixel of frame 0 is in frame n, sway of the axis included.
  [[nodiscard]] PlaneMap FrameFromFirst(std::size_t n) const;
  Reflection reflection;
};

[[nodiscard]] Setting MakeSetting(const Scenario& scenario);

/// The frame whose row of the time table is wrong; 0 where none is.
[[nodiscard]] std::size_t FaultyTime(const Scenario& scenario, std::size_t num_frames);

/// What is known once the frames are made.
struct CaptureTruth {
  std::vector<SignalLimits> faults;  ///< In the order of the faults in Setting::sources.
  std::vector<ShutterEvent> shutter_events;
  std::vector<BadPixel> bad_pixels;
  std::vector<int> jumps, doubled;   ///< Frames with a new pattern, frames that repeat.
  std::vector<double> object_share;  ///< Of each frame; empty without an object.
  std::vector<std::vector<Point>> wire_paths_mm;
};

/// The camera over a board whose supply is commanded while it films.
class LiveCamera {
 public:
  /// @param set  its drive gives the top current alone: the supply is off at first.
  explicit LiveCamera(const Setting& set);

  /// The current through the board from then on; times must not run backwards, and
  /// what lies before the last frame takes place at that frame. Does not wait for a frame
  /// that another thread takes.
  void Switch(double time_s, double amps);
  /// Heat of a fault (from 0) at the top current from then on; as Switch().
  void SetFaultPower(double time_s, std::size_t fault, double power_w);
  /// Frame n, in rising order, with all that was switched before it.
  const Counts& Take(std::size_t n);

 private:
  struct Switched {
    double time_s;
    double amps = 0;
    std::optional<std::size_t> fault = {};  // Its power is what changes, not the current.
    double power_w = 0;
  };
  void AdvanceTo(double time_s);

  const Setting& set_;
  HeatMarch march_;
  Radiance radiance_;
  Optics optics_;
  Sensor sensor_;
  std::mutex mutex_;  // Of what is waiting.
  std::vector<Switched> waiting_;
  Image rise_, scene_, frame_;
  Counts counts_;
};

/// Makes the frames one after another and hands each to `take`.
CaptureTruth MakeFrames(const Setting& setting, const std::function<void(const Counts&)>& take);

}  // namespace ohmglow::simulate
