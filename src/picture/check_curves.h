// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/check/registration_check.h"
#include "ohmglow/words/words.h"
#include "picture/canvas.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// Three plots over one time axis: shift along x and y; rotation and scale, as
/// the way a corner goes; the expected error, with the 0.1 px that hold.
void DrawMotionCurves(Canvas& canvas,
                      const RegistrationCheck& check,
                      cv::Rect box,
                      const TypeSizes& sizes,
                      const Words& words = Words::Report());

}  // namespace ohmglow::internal
