// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/static_view.h"

namespace ohmglow {

/// Takes out what whole columns of the sensor have in common: its pattern,
/// which stays in the static picture where the view did not move. A board's
/// edge fills no column and stays. For a picture in its own sensor's pixels.
[[nodiscard]] StaticView Destriped(const StaticView& view);

}  // namespace ohmglow
