// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "heat/drive.h"
#include "heat/plate.h"
#include "heat/power_kernel.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

struct PowerMapOptions {
  double blur_px = 0.7;    ///< Standard deviation of the camera's blur; >= 0.
  double source_mm = 0.3;  ///< Standard deviation of the source's size; >= 0.
  SourceFeed feed;         ///< Default: right on the surface.
  /// Full width at half maximum to which `sharp_w` shows a point; >= 0.
  double sharp_mm = 1.5;
  /// Standardised amplitude at which a place counts as found; > 1.
  double threshold = 5;

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Heat of a small source at each pixel, at the highest current, from a
/// matched filter in space and time. All NaN where nothing was seen.
struct PowerMap {
  Image near_w;        ///< Amplitude of a source on the face that is seen [W].
  Image near_sigma_w;  ///< Its standard deviation.
  Image far_w;         ///< The same for a source on the other face.
  Image far_sigma_w;
  /// Log likelihood of the one over the other, each at its best amplitude >= 0.
  Image near_over_far;
  /// Wiener estimate of the heat of near sources: neighbours parted, each
  /// peaking at its watts [W].
  Image sharp_w;
  double sharp_sigma_w = 0;  ///< Of `sharp_w` at a middling place.
  Image limit_half_w;        ///< Near source that is found with 50 % probability [W].
  Image limit_most_w;        ///< With 95 %.
  /// Spread of near_w/near_sigma_w over the quiet half of the picture before it
  /// was put into the sigmas: 1 where noise and spectrum were measured well.
  double spread = 1;
};

/// @param response      courses whitened by `model`, noise of each pixel.
/// @param plate         the kernel's; a plate unlike the board's biases the watts.
/// @param mm_per_pixel  > 0.
[[nodiscard]] PowerMap MakePowerMap(const Response& response,
                                    const TemporalModel& model,
                                    const Drive& drive,
                                    const Plate& plate,
                                    double mm_per_pixel,
                                    const PowerMapOptions& options);

}  // namespace ohmglow
