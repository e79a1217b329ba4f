// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/posterior.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace ohmglow {

Posterior FaultPosterior(const std::vector<double>& log_odds, double second_factor) {
  Posterior out;
  out.fault_prob.assign(log_odds.size(), 0);
  // Weights relative to that of no fault, or to the largest set's where that overflows.
  double largest = 0;
  for (const double one : log_odds) {
    largest = std::max(largest, one);
    for (const double other : log_odds) largest = std::max(largest, one + other);
  }
  const double none = std::exp(-largest);
  double all = none;
  for (std::size_t i = 0; i < log_odds.size(); ++i) {
    const double alone = std::exp(log_odds[i] - largest);
    all += alone;
    out.fault_prob[i] += alone;
    for (std::size_t j = i + 1; j < log_odds.size(); ++j) {
      const double both = second_factor * std::exp(log_odds[i] + log_odds[j] - largest);
      all += both;
      out.fault_prob[i] += both;
      out.fault_prob[j] += both;
    }
  }
  for (double& prob : out.fault_prob) prob /= all;
  out.none_prob = none / all;
  return out;
}

}  // namespace ohmglow
