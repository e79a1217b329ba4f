// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"
#include "scenario.h"

namespace ohmglow::simulate {

/// Something of its own temperature between camera and board (a finger, a
/// tool): a rounded bar that comes in from an edge of the frame within 0.4 s,
/// wanders a little, and goes. Its rim is as soft as the optics make it.
/// @returns the share of the frame that it covers.
double HoldObject(const Scenario& scenario, double time_s, Image& frame_k);

}  // namespace ohmglow::simulate
