// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "calibrate/results.h"

namespace ohmglow::calibrate {

/// What is known of a weight before the captures speak.
struct WeightPrior {
  std::string name;
  double mean = 1;
  double sigma = 1;
  bool may_be_negative = false;
};

/// Evidence with what is believed of its weights, the last one the logarithm of
/// what a second fault's odds are multiplied by.
[[nodiscard]] const std::vector<WeightPrior>& Priors();

/// Names of the evidence that has values in a result.
[[nodiscard]] std::vector<std::string> EvidenceNames();

struct Fit {
  std::vector<double> weights;  ///< In the order of Priors().
  std::vector<double> sigmas;   ///< Of the weights, from the curvature; 0 at a bound.
  double log_likelihood = 0;    ///< Of the captures.
};

/// Most probable weights under the model of FaultPosterior(): Newton's method
/// with the Gaussian priors, weights of evidence not below 0. Captures of two
/// faults, which are drawn far too often, count a fifth.
/// @throws DataError  where no capture holds a place.
[[nodiscard]] Fit FitWeights(const std::vector<Capture>& captures);

/// Probabilities of the places of a capture under given weights.
[[nodiscard]] std::vector<double> Confidences(const Capture& capture,
                                              const std::vector<double>& weights);

}  // namespace ohmglow::calibrate
