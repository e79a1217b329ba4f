// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>

#include "ohmglow/base/error.h"
#include "rank/posterior.h"
#include "rank/weights.h"

namespace ohmglow::calibrate {
namespace {

constexpr int kMostRounds = 100;
constexpr double kStep = 1e-4;
constexpr double kDone = 1e-7;

// The descriptions draw two faults as often as one; boards hardly do.
constexpr double kWeightOfTwoFaults = 0.2;

struct Slope {
  double log_posterior = 0;
  double log_likelihood = 0;
  Eigen::VectorXd gradient;
};

std::vector<double> LogOdds(const Capture& capture, const Eigen::VectorXd& weights) {
  std::vector<double> log_odds;
  for (const Place& place : capture.places) {
    double sum = 0;
    for (std::size_t k = 0; k < place.values.size(); ++k) {
      sum += weights(static_cast<Eigen::Index>(k)) * place.values[k];
    }
    log_odds.push_back(sum);
  }
  return log_odds;
}

// The faults among the places: of three that hit, the two most probable count,
// as the model knows no more.
std::vector<std::size_t> Faults(const Capture& capture, const std::vector<double>& log_odds) {
  std::vector<std::size_t> faults;
  for (std::size_t i = 0; i < capture.places.size(); ++i) {
    if (capture.places[i].is_fault) faults.push_back(i);
  }
  std::stable_sort(faults.begin(), faults.end(), [&](std::size_t a, std::size_t b) {
    return log_odds[a] > log_odds[b];
  });
  if (faults.size() > 2) faults.resize(2);
  return faults;
}

// Adds log probability of what a capture's truth says, and its slope.
void AddCapture(const Capture& capture, const Eigen::VectorXd& weights, Slope& slope) {
  if (capture.places.empty()) return;
  const Eigen::Index last = weights.size() - 1;
  const double count = capture.num_faults > 1 ? kWeightOfTwoFaults : 1;
  const std::vector<double> log_odds = LogOdds(capture, weights);
  const Posterior posterior = FaultPosterior(log_odds, std::exp(weights(last)));
  const std::vector<std::size_t> faults = Faults(capture, log_odds);
  double alone = 0;
  slope.log_likelihood += count * std::log(std::max(posterior.none_prob, 1e-300));
  for (std::size_t i = 0; i < capture.places.size(); ++i) {
    const bool fault = std::find(faults.begin(), faults.end(), i) != faults.end();
    if (fault) slope.log_likelihood += count * log_odds[i];
    alone += posterior.none_prob * std::exp(log_odds[i]);
    for (std::size_t k = 0; k < capture.places[i].values.size(); ++k) {
      slope.gradient(static_cast<Eigen::Index>(k)) +=
          count * capture.places[i].values[k] * ((fault ? 1 : 0) - posterior.fault_prob[i]);
    }
  }
  const double both = std::max(0.0, 1 - posterior.none_prob - alone);
  if (faults.size() == 2) slope.log_likelihood += count * weights(last);
  slope.gradient(last) += count * ((faults.size() == 2 ? 1 : 0) - both);
}

Slope SlopeAt(const std::vector<Capture>& captures, const Eigen::VectorXd& weights) {
  Slope slope{0, 0, Eigen::VectorXd::Zero(weights.size())};
  for (const Capture& capture : captures) AddCapture(capture, weights, slope);
  slope.log_posterior = slope.log_likelihood;
  for (Eigen::Index k = 0; k < weights.size(); ++k) {
    const WeightPrior& prior = Priors()[static_cast<std::size_t>(k)];
    const double miss = (weights(k) - prior.mean) / prior.sigma;
    slope.log_posterior -= 0.5 * miss * miss;
    slope.gradient(k) -= miss / prior.sigma;
  }
  return slope;
}

Eigen::MatrixXd CurvatureAt(const std::vector<Capture>& captures, const Eigen::VectorXd& weights) {
  Eigen::MatrixXd curvature(weights.size(), weights.size());
  for (Eigen::Index k = 0; k < weights.size(); ++k) {
    const Eigen::VectorXd step = kStep * Eigen::VectorXd::Unit(weights.size(), k);
    curvature.col(k) =
        (SlopeAt(captures, weights - step).gradient - SlopeAt(captures, weights + step).gradient) /
        (2 * kStep);
  }
  return 0.5 * (curvature + curvature.transpose());
}

// Weights held at their bound count as not there.
std::vector<bool> Held(const Eigen::VectorXd& weights, const Eigen::VectorXd& gradient) {
  std::vector<bool> held;
  for (Eigen::Index k = 0; k < weights.size(); ++k) {
    const bool bound = !Priors()[static_cast<std::size_t>(k)].may_be_negative;
    held.push_back(bound && weights(k) <= 0 && gradient(k) <= 0);
  }
  return held;
}

Eigen::VectorXd InBounds(Eigen::VectorXd weights) {
  for (Eigen::Index k = 0; k < weights.size(); ++k) {
    if (!Priors()[static_cast<std::size_t>(k)].may_be_negative) {
      weights(k) = std::max(0.0, weights(k));
    }
  }
  return weights;
}

}  // namespace

// Likelihood ratios weigh 1 where their models hold; that they are not
// independent and the models not exact is for the captures to say.
const std::vector<WeightPrior>& Priors() {
  static const std::vector<WeightPrior> priors = {
      {std::string(kBeforeLooking), 0, 3, true},
      {"stands out of the noise", 3, 3},
      {"follows the steps of the supply", 1, 0.7},
      {"grows with the current as a short does", 1, 0.7},
      {"warms itself", 1, 0.7},
      {"is no halo of a stronger place", 1, 0.7},
      {"is no lead contact", 3.5, 1.5},
      {"is no lead wire", 3.5, 1.5},
      {"is no track", 1.4, 1},
      {"lies inside the picture", 1.5, 1.5},
      {"lies on the board", 2.3, 1.5},
      {"is no heat of a contact or coil come out aside", 0.5, 0.5},
      {"nothing else explains it", 1, 0.5},
      {"sits on a part", 1, 1},
      {"is no coil, fuse or connector", 2, 1.5},
      {"takes the most heat of the plausible ones", 1, 0.7},
      {std::string(kSecondFault), -2, 1.5, true},
  };
  return priors;
}

std::vector<std::string> EvidenceNames() {
  std::vector<std::string> names;
  for (const WeightPrior& prior : Priors()) names.push_back(prior.name);
  names.pop_back();
  return names;
}

Fit FitWeights(const std::vector<Capture>& captures) {
  const bool any = std::any_of(
      captures.begin(), captures.end(), [](const Capture& one) { return !one.places.empty(); });
  if (!any) throw DataError("no result with a place and a truth: nothing to fit");
  const auto num = static_cast<Eigen::Index>(Priors().size());
  Eigen::VectorXd weights(num);
  for (Eigen::Index k = 0; k < num; ++k) weights(k) = Priors()[static_cast<std::size_t>(k)].mean;
  Slope slope = SlopeAt(captures, weights);
  Eigen::MatrixXd curvature;
  double damping = 1e-3;
  for (int round = 0; round < kMostRounds; ++round) {
    const std::vector<bool> held = Held(weights, slope.gradient);
    curvature = CurvatureAt(captures, weights);
    Eigen::VectorXd gradient = slope.gradient;
    for (Eigen::Index k = 0; k < num; ++k) {
      if (!held[static_cast<std::size_t>(k)]) continue;
      gradient(k) = 0;
      curvature.row(k).setZero();
      curvature.col(k).setZero();
      curvature(k, k) = 1;
    }
    Eigen::MatrixXd damped = curvature;
    damped.diagonal() *= 1 + damping;
    const Eigen::VectorXd next = InBounds(weights + damped.ldlt().solve(gradient));
    Slope there = SlopeAt(captures, next);
    if (there.log_posterior < slope.log_posterior) {
      damping *= 10;
      if (damping > 1e12) break;
      continue;
    }
    const double gain = there.log_posterior - slope.log_posterior;
    weights = next;
    slope = std::move(there);
    damping = std::max(damping / 10, 1e-9);
    if (gain < kDone) break;
  }
  Fit fit;
  fit.log_likelihood = slope.log_likelihood;
  const Eigen::MatrixXd spread = curvature.inverse();
  for (Eigen::Index k = 0; k < num; ++k) {
    fit.weights.push_back(weights(k));
    const bool bound = Held(weights, slope.gradient)[static_cast<std::size_t>(k)];
    fit.sigmas.push_back(bound ? 0 : std::sqrt(std::max(0.0, spread(k, k))));
  }
  return fit;
}

std::vector<double> Confidences(const Capture& capture, const std::vector<double>& weights) {
  const Eigen::Map<const Eigen::VectorXd> all(weights.data(),
                                              static_cast<Eigen::Index>(weights.size()));
  return FaultPosterior(LogOdds(capture, all), std::exp(weights.back())).fault_prob;
}

}  // namespace ohmglow::calibrate
