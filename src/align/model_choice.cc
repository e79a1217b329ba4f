// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/model_choice.h"

#include <cmath>
#include <cstddef>

namespace ohmglow::internal {
namespace {

constexpr double kSureSigmas = 2;
constexpr double kRidge = 1e-6;  // Of the information's largest entry.

// The best step of one half among the leading `n` parameters, when the others
// make the step `rest`.
MotionVector BestStep(const Quadratic& half, int n, const MotionVector& rest) {
  MotionVector pull = half.score - half.information * rest;
  cv::Mat a = cv::Mat(half.information)(cv::Rect(0, 0, n, n)).clone();
  a += kRidge * cv::trace(half.information) * cv::Mat::eye(n, n, CV_64F);
  cv::Mat b(n, 1, CV_64F);
  for (int k = 0; k < n; ++k) b.at<double>(k) = pull[k];
  cv::Mat x;
  MotionVector step = rest;
  if (!cv::solve(a, b, x, cv::DECOMP_CHOLESKY)) return step;
  for (int k = 0; k < n; ++k) step[k] = x.at<double>(k);
  return step;
}

// Minus the log-likelihood of a half after a step, up to a constant.
double CostOf(const Quadratic& half, const MotionVector& step) {
  return 0.5 * step.dot(half.information * step) - step.dot(half.score);
}

double CrossCost(const PlacedQuadratics& frame, const MotionVector& usual, int n) {
  MotionVector rest;
  for (int k = n; k < kMostParameters; ++k) rest[k] = usual[k] - frame.motion[k];
  double cost = 0;
  for (std::size_t half = 0; half < 2; ++half) {
    cost += CostOf(frame.halves[1 - half], BestStep(frame.halves[half], n, rest));
  }
  return cost;
}

}  // namespace

ModelChoice ChooseModel(const std::vector<PlacedQuadratics>& frames) {
  ModelChoice choice;
  if (frames.size() < 3) return choice;
  const double count = static_cast<double>(frames.size());
  MotionVector usual;
  for (const PlacedQuadratics& f : frames) usual += f.motion * (1 / count);
  constexpr std::array<MotionModel, kNumMotionModels> kModels{
      MotionModel::kShift, MotionModel::kRigid, MotionModel::kSimilarity, MotionModel::kProjective};
  std::vector<double> shift, best;
  for (std::size_t m = 0; m < kModels.size(); ++m) {
    std::vector<double> cost;
    for (const PlacedQuadratics& f : frames) {
      cost.push_back(CrossCost(f, usual, NumParameters(kModels[m])));
    }
    if (m == 0) {
      shift = best = cost;
      continue;
    }
    double sum = 0, square = 0, against_shift = 0;
    for (std::size_t i = 0; i < cost.size(); ++i) {
      const double gain = best[i] - cost[i];
      sum += gain;
      square += gain * gain;
      against_shift += shift[i] - cost[i];
    }
    choice.gain[m] = against_shift / count;
    const double mean = sum / count;
    const double sigma = std::sqrt(std::max(0.0, square / count - mean * mean) / (count - 1));
    if (mean > kSureSigmas * sigma) {
      choice.model = kModels[m];
      best = cost;
    }
  }
  return choice;
}

}  // namespace ohmglow::internal
