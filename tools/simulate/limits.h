// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow::simulate {

/// What the best conceivable method could do with one source's signal in white
/// noise, everything else being known.
struct SignalLimits {
  double ideal_snr = 0;   ///< Of a matched filter over all frames and pixels.
  double bound_x_px = 0;  ///< Cramer-Rao bound of the place, strength known.
  double bound_y_px = 0;
  double peak_k = 0;  ///< Largest apparent rise of a pixel.
  cv::Point peak_px;
};

/// Sums a source's noise-free apparent signal, frame by frame.
class SignalMeter {
 public:
  /// @param weight  number of frames that this one stands for.
  void Add(const Image& signal_k, double weight);
  /// Cramer-Rao bound: inverse of the sum of gradient x gradient^T / sigma^2
  /// (Kay, Fundamentals of Statistical Signal Processing, 1993, ch. 3; from memory).
  [[nodiscard]] SignalLimits Limits(double sigma_k) const;

 private:
  double energy_ = 0, xx_ = 0, xy_ = 0, yy_ = 0;
  SignalLimits peak_;
};

}  // namespace ohmglow::simulate
