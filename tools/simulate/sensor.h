// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "ohmglow/base/image.h"
#include "random.h"
#include "scenario.h"

namespace ohmglow::simulate {

using Counts = cv::Mat_<std::uint16_t>;

/// Frames first .. first + length - 1 repeat the frame before bit by bit; the
/// frame after comes with another smooth offset pattern.
struct ShutterEvent {
  int first = 0;
  int length = 0;
};

struct BadPixel {
  enum class Kind { kDead, kStuck, kBlinking, kDrifting };
  cv::Point at;
  Kind kind = Kind::kDead;
};

/// A detector: white noise, column noise, fixed pattern of pixels and columns,
/// slow noise of each pixel, a wandering common offset, bad pixels, shutter
/// events, and rounding to counts. Frames must come in order.
class Sensor {
 public:
  Sensor(const Scenario& scenario, int num_frames);

  /// Adds all that to a frame as the optics give it [K].
  void Read(int index, const Image& frame_k, Counts& counts);

  [[nodiscard]] const std::vector<ShutterEvent>& shutter_events() const { return events_; }
  [[nodiscard]] const std::vector<BadPixel>& bad_pixels() const { return bad_; }
  [[nodiscard]] bool Frozen(int index) const;
  /// Frames that come with another offset pattern although none was repeated.
  [[nodiscard]] const std::vector<int>& jumps() const { return jumps_; }
  /// Single frames that repeat the one before.
  [[nodiscard]] const std::vector<int>& doubled() const { return doubled_; }

 private:
  void PlanEvents(int num_frames);
  void PlanFaults(int num_frames);
  void MarkBadPixels();
  void MarkDriftingPixels();
  void NewPattern(double size_k, Random& random);
  void AdvanceSlowNoise();
  [[nodiscard]] std::uint16_t Count(double kelvin) const;
  void Spoil(int index, Counts& counts);

  Scenario s_;
  cv::Size size_px_;
  Random random_, row_random_, jump_random_;
  int num_frames_;
  std::vector<ShutterEvent> events_;
  std::vector<int> jumps_, doubled_;
  std::vector<double> drift_course_k_;  // Of each drifting pixel, over the whole capture.
  std::vector<BadPixel> bad_;
  Image fixed_k_, smooth_k_, slow_k_;
  double common_k_ = 0, common_speed_k_ = 0;
  Counts last_;
};

}  // namespace ohmglow::simulate
