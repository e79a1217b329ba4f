// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "calibrate/report.h"
#include "ohmglow/base/error.h"
#include "rank/posterior.h"
#include "rank/weights.h"

namespace ohmglow::calibrate {
namespace {

std::vector<double> Truth() {
  std::vector<double> weights;
  for (const WeightPrior& prior : Priors()) weights.push_back(prior.mean);
  weights[0] = -1;   // before looking
  weights[1] = 1.5;  // stands out
  weights[2] = 0.4;  // by itself
  return weights;
}

// Captures of up to three places whose faults are drawn by the model itself.
std::vector<Capture> Draw(int count, const std::vector<double>& weights, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> uniform(0, 1);
  std::uniform_real_distribution<double> ratio(-4, 4);
  std::vector<Capture> captures;
  for (int c = 0; c < count; ++c) {
    Capture capture;
    const int places = 1 + static_cast<int>(3 * uniform(random));
    std::vector<double> log_odds;
    for (int i = 0; i < places; ++i) {
      Place place;
      place.values.assign(weights.size() - 1, 0);
      place.values[0] = 1;
      place.values[1] = 2 * uniform(random);
      place.values[2] = ratio(random);
      double sum = 0;
      for (std::size_t k = 0; k < place.values.size(); ++k) sum += weights[k] * place.values[k];
      log_odds.push_back(sum);
      capture.places.push_back(place);
    }
    // One set of places, each with its weight.
    const double second = std::exp(weights.back());
    double left = uniform(random) / FaultPosterior(log_odds, second).none_prob - 1;
    for (std::size_t i = 0; i < log_odds.size() && left > 0; ++i) {
      left -= std::exp(log_odds[i]);
      if (left <= 0) capture.places[i].is_fault = true;
    }
    for (std::size_t i = 0; i < log_odds.size() && left > 0; ++i) {
      for (std::size_t j = i + 1; j < log_odds.size() && left > 0; ++j) {
        left -= second * std::exp(log_odds[i] + log_odds[j]);
        if (left <= 0) capture.places[i].is_fault = capture.places[j].is_fault = true;
      }
    }
    captures.push_back(capture);
  }
  return captures;
}

TEST(FitWeights, FindsTheWeightsThatDrewTheFaults) {
  const Fit fit = FitWeights(Draw(3000, Truth(), 1));
  for (const std::size_t k : {std::size_t{0}, std::size_t{1}, std::size_t{2}, Truth().size() - 1}) {
    EXPECT_GT(fit.sigmas[k], 0) << Priors()[k].name;
    EXPECT_LT(fit.sigmas[k], 0.4) << Priors()[k].name;
    EXPECT_NEAR(fit.weights[k], Truth()[k], 3 * fit.sigmas[k]) << Priors()[k].name;
  }
  // What no capture asked stays as believed before.
  EXPECT_NEAR(fit.weights[7], Priors()[7].mean, 1e-4);
  EXPECT_NEAR(fit.sigmas[7], Priors()[7].sigma, 1e-3);
}

TEST(FitWeights, HoldsNoEvidenceAgainstItself) {
  std::vector<Capture> captures = Draw(400, Truth(), 2);
  for (Capture& capture : captures) {
    for (Place& place : capture.places) place.values[2] = -2 * place.values[2];
  }
  const Fit fit = FitWeights(captures);
  EXPECT_EQ(fit.weights[2], 0);
  EXPECT_EQ(fit.sigmas[2], 0);
}

TEST(FitWeights, RefusesNothing) { EXPECT_THROW((void)FitWeights({}), DataError); }

TEST(Judge, FindsTheModelsOwnProbabilitiesCalibratedAndDoubledOddsNot) {
  const std::vector<Capture> captures = Draw(3000, Truth(), 3);
  std::vector<std::vector<double>> right;
  std::vector<std::vector<double>> wrong;
  std::vector<double> bold = Truth();
  for (double& weight : bold) weight *= 2;
  for (const Capture& capture : captures) {
    right.push_back(Confidences(capture, Truth()));
    wrong.push_back(Confidences(capture, bold));
  }
  const Calibration good = Judge(captures, right, false);
  EXPECT_LT(good.error, 0.02);
  EXPECT_GT(Judge(captures, wrong, false).error, 2 * good.error);
  EXPECT_GT(Judge(captures, wrong, false).brier, good.brier);
  EXPECT_EQ(Judge(captures, right, true).num_places, 3000);
}

TEST(WeightTable, IsWhatTheProgramReads) {
  const std::vector<Capture> captures = Draw(50, Truth(), 4);
  const Fit fit = FitWeights(captures);
  const std::string table = WeightTable(fit, captures, "Drawn.");
  EXPECT_EQ(table.find("// Written by tools/calibrate: do not edit. Drawn."), 0U);
  std::size_t rows = 0;
  for (const WeightPrior& prior : Priors())
    rows += table.find("{\"" + prior.name + "\", ") < table.size();
  EXPECT_EQ(rows, Priors().size());
  // The program has a weight for each, and no others.
  EXPECT_EQ(std::size(kEvidenceWeights), Priors().size());
  for (const WeightPrior& prior : Priors()) EXPECT_NO_THROW((void)WeightOf(prior.name));
}

}  // namespace
}  // namespace ohmglow::calibrate
