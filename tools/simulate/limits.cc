// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "limits.h"

#include <cmath>

namespace ohmglow::simulate {

void SignalMeter::Add(const Image& s, double weight) {
  for (int y = 1; y + 1 < s.rows; ++y) {
    for (int x = 1; x + 1 < s.cols; ++x) {
      const double value = s(y, x);
      const double gx = 0.5 * (static_cast<double>(s(y, x + 1)) - s(y, x - 1));
      const double gy = 0.5 * (static_cast<double>(s(y + 1, x)) - s(y - 1, x));
      energy_ += weight * value * value;
      xx_ += weight * gx * gx;
      xy_ += weight * gx * gy;
      yy_ += weight * gy * gy;
      if (value > peak_.peak_k) {
        peak_.peak_k = value;
        peak_.peak_px = {x, y};
      }
    }
  }
}

SignalLimits SignalMeter::Limits(double sigma_k) const {
  SignalLimits limits = peak_;
  const double determinant = xx_ * yy_ - xy_ * xy_;
  if (sigma_k <= 0 || determinant <= 0) return limits;
  limits.ideal_snr = std::sqrt(energy_) / sigma_k;
  limits.bound_x_px = sigma_k * std::sqrt(yy_ / determinant);
  limits.bound_y_px = sigma_k * std::sqrt(xx_ / determinant);
  return limits;
}

}  // namespace ohmglow::simulate
