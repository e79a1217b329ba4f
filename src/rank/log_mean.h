// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>

#include "ohmglow/result.h"

namespace ohmglow {

/// Weighted mean of logarithms of positive numbers.
class LogMean {
 public:
  /// @param weight  >= 0.
  void Add(double weight, double log_value) {
    norm_ += weight;
    sum_ += weight * log_value;
    square_ += weight * log_value * log_value;
  }
  /// 0 where nothing was added.
  [[nodiscard]] double Value() const { return norm_ > 0 ? std::exp(sum_ / norm_) : 0; }
  /// Standard deviation of the logarithms.
  [[nodiscard]] double Sigma() const {
    if (norm_ <= 0) return 0;
    const double mean = sum_ / norm_;
    return std::sqrt(std::max(0.0, square_ / norm_ - mean * mean));
  }
  /// 95 % of a number that was tried at steps; even steps hide a twelfth of their square.
  [[nodiscard]] Estimate Within(double log_step) const {
    const double reach = std::exp(1.96 * std::hypot(Sigma(), log_step / std::sqrt(12.0)));
    return {Value(), Value() / reach, Value() * reach};
  }

 private:
  double norm_ = 0;
  double sum_ = 0;
  double square_ = 0;
};

}  // namespace ohmglow
