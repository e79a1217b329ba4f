// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"

namespace ohmglow {

/// Gaussian mean over the seen pixels only, so that a border or a dead pixel
/// makes no ghost.
class SeenBlur {
 public:
  SeenBlur(const Mask& seen, double sigma_px);
  [[nodiscard]] Image operator()(const Image& image) const;

  /// What the mean keeps of white noise: 1 / (2 sigma sqrt(pi)), more at the rim
  /// of what was seen, where fewer pixels are averaged.
  [[nodiscard]] Image NoiseGain() const;

 private:
  [[nodiscard]] Image Blur(const Image& image, double sigma_px) const;

  double sigma_px_;
  Image weight_;
  Image norm_;
};

}  // namespace ohmglow
