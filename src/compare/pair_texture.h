// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/compare/pair_alignment.h"

namespace ohmglow {

/// What two pictures of one board have in common whatever the warmth: edges
/// of emissivity, at even strength over the picture.
struct Texture {
  Image value;  ///< About unit spread, zero mean locally; 0 where not seen.
  Mask seen;
  [[nodiscard]] cv::Size size() const { return value.size(); }
};

/// Gaussian mean over the seen pixels.
/// @param weight  1 where seen, 0 where not.
[[nodiscard]] Image SeenMean(const Image& image, const Image& weight, double sigma_px);

/// @param blur_px  detail below it is smoothed away (the sensor's pattern).
[[nodiscard]] Texture MakeTexture(const StaticView& view, double blur_px);

/// A texture at `1/factor` of the size.
[[nodiscard]] Texture Shrink(const Texture& texture, int factor);

/// The map between pictures shrunk by the same factor.
[[nodiscard]] PlaneMap ShrinkMap(const PlaneMap& map, double factor);

/// `source` as seen through `source_from_target`, on a picture of the given size.
[[nodiscard]] Texture WarpTexture(const Texture& source,
                                  const PlaneMap& source_from_target,
                                  cv::Size size);

/// How two textures go together around each pixel. The contrast of an edge of
/// emissivity follows the board's temperature over the room's: it differs from
/// capture to capture, and may even be reversed while the board's outline is not.
struct LocalMatch {
  Image gain;     ///< b ~ gain a nearby; 0 where the two have nothing in common.
  Image squared;  ///< Squared correlation nearby, 0 .. 1.
  Image weight;   ///< How much texture both have there.
  Mask both;      ///< Seen in both.
};
[[nodiscard]] LocalMatch MatchLocally(const Texture& a, const Texture& b);

/// Where a texture has edges, whatever their sign; zero mean locally.
[[nodiscard]] Texture EdgesOf(const Texture& texture);

/// Largest distance between where two maps put a corner of the picture.
[[nodiscard]] double CornerDistance(const PlaneMap& a, const PlaneMap& b, cv::Size size);

}  // namespace ohmglow
