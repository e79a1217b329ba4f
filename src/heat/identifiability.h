// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "heat/drive.h"
#include "heat/plate.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/remark.h"

namespace ohmglow {

/// Share (0 .. 1) of a source's signal-to-noise ratio that is left once a
/// smooth course of unknown size is granted to every pixel.
struct KeptShare {
  double after_offset = 0;  ///< An unknown offset.
  double after_linear = 0;  ///< An offset and a steady drift.
  double after_cubic = 0;   ///< An offset and a drift of degree 3.
  /// What the model takes out or shrinks: offsets, motion, and drift as large
  /// as the picture showed it where that was learned.
  double after_model = 0;
};

/// How well a capture's course of the current tells heat from slow drift.
struct Identifiability {
  KeptShare kept;            ///< In this capture; against a known baseline.
  KeptShare if_alternated;   ///< Had the current alternated: see `JudgeDrive`.
  double alternation_s = 0;  ///< Length of a level there.
  /// Heat that a source needs to stand out of noise and what the model takes
  /// out, over what it would need with alternated levels in a capture of the
  /// same length and drift.
  double heat_ratio = 1;
  /// The same beside a cubic drift of any size, the worst that is granted.
  double heat_ratio_cubic = 1;
  /// That, had the last fifth of this capture been without current.
  double heat_ratio_cubic_if_ended_at_zero = 1;
  bool only_rises = false;  ///< The current never falls while frames are taken.
  bool no_rest = false;     ///< There is current in the first frames already.
  Remark advice;            ///< Empty where the course does well.
};

/// Judges the course of the current: no frame takes part but by what the model
/// learned of drift.
///
/// For each kind of source, c is its course in the bins, weighted as noise
/// asks (sqrt of the frames in a bin), and Q the polynomials up to a degree:
/// the signal-to-noise ratio left is |c - Q Q'c|, and that of a known baseline
/// |c|. The median over the kinds stands. The comparison is a capture of the
/// same frames at currents 0, top, 0 .. top, 0 in 3 to 11 equal parts, as many
/// as leave most after a cubic drift.
/// @param model  as the detector uses it, drift learned.
/// @param plate  of the kinds of source; the conductance is varied.
[[nodiscard]] Identifiability JudgeDrive(const TemporalModel& model,
                                         const Drive& drive,
                                         const Plate& plate = {});

}  // namespace ohmglow
