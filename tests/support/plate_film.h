// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "heat/stack.h"
#include "support/scene.h"

namespace ohmglow::testing {

/// A disc of heat on one face of a bare, even board, a pixel a cell of 0.5 mm.
struct PlateSource {
  double power_w = 0.5;  ///< At the highest current.
  double exponent = 2;   ///< Of the current.
  double radius_mm = 1;
  bool far = false;  ///< On the face that the camera does not see.
  double sheet_w_k = 0.015;
  double capacity_j_m2k = 3200;
  double film_w_m2k = 20;  ///< Both faces together.
  double thickness_mm = 1.6;
  cv::Point center_px{48, 36};
};

/// Marches the board by the simulator's solver of finite cells, which shares
/// nothing with the product's closed forms, and adds its visible face to the
/// stack's bins. The steps must fall on whole frames.
void AddPlate(const PlateSource& source, const Steps& steps, Stack& stack);

}  // namespace ohmglow::testing
