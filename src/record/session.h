// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "record/guard.h"
#include "record/pattern.h"

namespace ohmglow::record {

struct SessionOptions {
  Limits limits;
  PatternOptions pattern;
  double rate_hz = 8;  ///< Of the camera, until the rest has shown it.
  /// Of the camera in the rest: with less, or more, nothing is switched on.
  double least_rate_hz = 0, most_rate_hz = 1e9;
  std::optional<double> until;  ///< Probability of the first place that is enough.
};

/// What an analysis of the frames so far says.
struct AnswerView {
  bool verdict = false;
  std::string first;  ///< The first place's part; empty: none is known there.
  double first_prob = 0;
  double frame_x = 0, frame_y = 0;  ///< Of the first place, reference frame.
};

/// Whether answers that come one after the other are sure of one place: two in a row, for
/// the answers of a growing film are many, and chance gets as many tries.
class Sureness {
 public:
  /// @param until  probability that is enough; none: nothing ever is.
  explicit Sureness(std::optional<double> until) : until_(until) {}
  void Hear(const AnswerView& answer);
  [[nodiscard]] bool enough() const { return enough_; }

 private:
  std::optional<double> until_;
  AnswerView last_;
  int agreed_ = 0;
  bool enough_ = false;
};

/// One recording, from the first rest to the end: what should flow now, and why it
/// stops. A value without clock, files and processes: whoever has these feeds it.
class Session {
 public:
  /// @throws OptionError  see Limits::Validate().
  Session(const SessionOptions& options, double start_s);

  /// @param kelvin  a frame [K]. @param repeats  equals the one before, bit by bit.
  void OnFrame(double now_s, const Image& kelvin, bool repeats);
  void OnFramesEnd(double now_s) { camera_.OnEnd(now_s); }
  void OnAnswer(double now_s, const AnswerView& answer);
  /// The supply was switched off for a reason of its own; also: something here failed.
  void OnTrip(const Trip& trip);

  /// The current that should flow [A]; 0: output off. Never more than the limit.
  [[nodiscard]] double Amps(double now_s);
  [[nodiscard]] bool Over(double now_s) const;
  [[nodiscard]] const std::optional<Trip>& trip() const { return trip_; }
  [[nodiscard]] PatternStep step(double now_s) const { return pattern_.At(now_s - start_s_); }
  [[nodiscard]] const Pattern& pattern() const { return pattern_; }
  [[nodiscard]] const FrameHeat& heat() const { return heat_; }
  [[nodiscard]] bool enough() const { return sure_.enough(); }
  [[nodiscard]] double start_s() const { return start_s_; }

 private:
  void Rest(double now_s, const Image& kelvin);
  [[nodiscard]] std::optional<Trip> JudgeRest() const;
  [[nodiscard]] double RestRate() const;

  SessionOptions options_;
  double start_s_;
  Pattern pattern_;
  FrameMeter meter_;
  CameraGuard camera_;
  FrameHeat heat_;
  int shows_ = 0;  // Frames in a row in which heat shows.
  int num_rest_frames_ = 0;
  double first_rest_s_ = 0, last_rest_s_ = 0;
  bool may_heat_ = false;  // The rest was good enough to hold frames against.
  std::optional<Trip> trip_;
  double trip_s_ = 0;
  Sureness sure_;
};

}  // namespace ohmglow::record
