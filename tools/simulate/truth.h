// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "capture.h"

namespace ohmglow::simulate {

/// truth.json: what really happened. Frame coordinates are those of frame 0,
/// times are those of frames.csv.
///   sources   place, side, near (faces the camera), watts at the highest
///             current, exponent, is_fault; for faults also ideal_snr,
///             bound_x_px, bound_y_px, apparent_peak_k and where that peak is
///   decoys    heat that follows no current, reflection, wires
///   shifts    dx px, dy px, rotation deg, scale of each frame (motion.csv)
///   shutter_frames  [first repeated frame, number of repeated frames]
[[nodiscard]] nlohmann::ordered_json MakeTruth(const Setting& setting, const CaptureTruth& capture);

}  // namespace ohmglow::simulate
