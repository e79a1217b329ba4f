// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Working memory of BandOf, so that a long series needs it but once.
struct BandScratch {
  Image fine, once, twice;
  std::vector<float> padded, line, twos;
};

/// A Gaussian of 1 px less one of 3 px (that one times two boxes of 7 px),
/// mirrored at the borders.
/// @param image_k  finite everywhere, at least 8 x 8.
void BandOf(const Image& image_k, BandScratch& scratch, Image& out_k);

/// Takes the offset of each column, then of each row. An edge of the scene
/// must not count as one: its share of a plain mean would lie across the whole
/// picture, stay level when the scene turns and hold every rotation back. So
/// the offset is a mean with what lies beyond 1.5 spreads clipped (Huber, Ann.
/// Math. Stat. 35 (1964) 73-101, one step).
void RemoveColumnsAndRows(Image& image_k);

}  // namespace ohmglow::internal
