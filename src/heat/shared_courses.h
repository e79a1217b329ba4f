// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// Takes out of every mode what the whole picture shares and no small source
/// makes: a smooth surface (camera, hand, air), a multiple of the static
/// picture's detail (surfaces of low emissivity follow the air and the room
/// instead of the board), and its slopes (motion that registration left:
/// shift, rotation, scale). Robust: weights fall where the rest is large, so
/// that heat pulls little.
/// @param static_k  the picture before the heating.
/// @param modes     one picture a mode, in place.
void RemoveShared(const Image& static_k, const Mask& seen, std::vector<Image>& modes);

}  // namespace ohmglow
