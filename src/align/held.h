// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "align/scene.h"

namespace ohmglow::internal {

/// How much of the motion between the snapshots was found, 0 .. 1, where the sensor's own pattern,
/// which stays when the camera moves, may hold the fits back; nothing where that cannot be told.
///
/// What a pixel shows beside its mean over the snapshots holds no pattern. Regressed on the motion
/// that was found it is the scene's slope over that share; the slope of the frames' mean is the
/// scene's and the pattern's, and the two have nothing in common. So
///   share = <regressed slope, slope of the mean> / <regressed slope, regressed slope>,
/// the latter between halves of the snapshots, so that noise has no part in it.
[[nodiscard]] std::optional<double> ShareFound(const std::vector<Snapshot>& snapshots);

}  // namespace ohmglow::internal
