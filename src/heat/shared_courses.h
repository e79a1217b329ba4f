// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/detector.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// Takes out of every mode what the whole picture shares and no small source
/// makes: a smooth surface (camera, hand, air), a multiple of the static
/// picture's detail (surfaces of low emissivity follow the air and the room
/// instead of the board), and its slopes (motion that registration left:
/// shift, rotation, scale). Robust: weights fall where the rest is large, so
/// that heat pulls little.
/// @param static_k  the picture before the heating.
/// @param wanted_halos  pictures that are fitted beside all that and left in, where
///                  there are pixels enough for them.
/// @param modes     one picture a mode, in place.
void RemoveShared(const Image& static_k,
                  const Mask& seen,
                  const std::vector<Image>& wanted_halos,
                  std::vector<Image>& modes);

/// What the halos of the strongest places are made of. Heat that began at a
/// point some time ago is a sum of Gaussians of all widths up to the present
/// one (E1(r^2/4Dt) = int exp(-r^2/4Ds) ds/s; Carslaw, Jaeger, 10.3): one an
/// octave, as far as a picture tells them from a surface.
/// @return  empty where no place shows clear steps.
[[nodiscard]] std::vector<Image> HalosOf(const Detector& detector, const Mask& seen);

}  // namespace ohmglow
