// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/band_score.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "base/decompose.h"

namespace ohmglow {
namespace {

// Energy of a course that the models of all explanations miss.
constexpr float kModelError = 0.01F;
// Residuals of neighbouring bins hang together: information counted half.
constexpr double kTemper = 0.5;
// Of the largest: what a response must have beside the others to count.
constexpr float kAlike = 1e-4F;
// Degrees of freedom of Student's distribution.
constexpr double kTails = 4;
// What passes by is gone after that.
constexpr double kPassingS = 8;
// Times between tried ones where a rival has two.
constexpr int kStride = 3;
constexpr double kNoGain = -1e3;

}  // namespace

BandScore::BandScore(StepTable table, const FineGrid& spots) : table_(std::move(table)) {
  price_ = 0.5 * std::log(table_.degrees);
  matches_.assign(static_cast<std::size_t>(table_.num_times()),
                  Eigen::MatrixXf(table_.num_responses(), spots.courses.cols()));
  for (Eigen::Index j = 0; j < table_.num_responses(); ++j) {
    const Eigen::MatrixXf& courses = table_.courses[static_cast<std::size_t>(j)];
    const Eigen::MatrixXf match = courses.transpose() * spots.courses;
    for (int i = 0; i < table_.num_times(); ++i) {
      matches_[static_cast<std::size_t>(i)].row(j) = match.row(i);
    }
    shared_.emplace_back(table_.smooth.transpose() * courses);
  }
  const Eigen::ArrayXf energy = spots.courses.colwise().squaredNorm().transpose().array();
  whole_ = energy + spots.tremble + kModelError * energy;
  smooth_ = table_.smooth.transpose() * spots.courses;
  of_smooth_ = smooth_.colwise().squaredNorm().transpose().array();
  FindRivals();
}

Eigen::ArrayXd BandScore::LogGain(const Eigen::ArrayXf& energy) const {
  const Eigen::ArrayXf rest = (1 - energy / whole_).max(1e-6F);
  return (-0.5 * kTemper * table_.degrees) * rest.log().cast<double>();
}

// A change at one time, taken back at another where that is not negative; with
// or without a smooth course.
Eigen::ArrayXd BandScore::RivalGain(int from, int until) const {
  const Eigen::Index num = table_.num_responses();
  Eigen::MatrixXf gram(num, num);
  Eigen::MatrixXf beside(num, smooth_.rows());
  Eigen::MatrixXf match = matches_[static_cast<std::size_t>(from)];
  if (until >= 0) match -= matches_[static_cast<std::size_t>(until)];
  for (Eigen::Index a = 0; a < num; ++a) {
    const Eigen::MatrixXf& shared = shared_[static_cast<std::size_t>(a)];
    beside.row(a) = shared.col(from).transpose();
    if (until >= 0) beside.row(a) -= shared.col(until).transpose();
    for (Eigen::Index b = 0; b < num; ++b) {
      const Eigen::MatrixXf& product = table_.Product(a, b);
      gram(a, b) = product(from, from);
      if (until < 0) continue;
      gram(a, b) += product(until, until) - product(from, until) - product(until, from);
    }
  }
  const double times = until < 0 ? price_ : 2 * price_;
  const Eigen::ArrayXf nothing = Eigen::ArrayXf::Zero(whole_.size());
  const Eigen::ArrayXd alone = BestGain(gram, match, nothing, false) - times;
  // What is left of both once the smooth courses are out.
  const Eigen::MatrixXf rest = gram - beside * beside.transpose();
  const double smooth_price = price_ * static_cast<double>(smooth_.rows());
  return alone.max(BestGain(rest, match - beside * smooth_, of_smooth_, false) - times -
                   smooth_price);
}

void BandScore::FindRivals() {
  const double smooth_price = price_ * static_cast<double>(smooth_.rows());
  rivals_ = (LogGain(of_smooth_) - smooth_price).max(0.0);
  const int passing = static_cast<int>(kPassingS / table_.pitch_s());
  for (int i = 0; i < table_.num_times(); ++i) {
    rivals_ = rivals_.max(RivalGain(i, -1));
    if (i % kStride != 0) continue;
    const int last = std::min(i + passing, table_.num_times() - 1);
    for (int j = i + kStride; j <= last; j += kStride) rivals_ = rivals_.max(RivalGain(i, j));
  }
}

// How unlike what sources do a response is, by its parts beside the first: log likelihood of
// Student's distribution, since no table holds all sources.
Eigen::ArrayXd BandScore::Oddness(const Eigen::ArrayXXf& weights) const {
  Eigen::ArrayXd sum = Eigen::ArrayXd::Zero(weights.cols());
  for (Eigen::Index j = 1; j < weights.rows(); ++j) {
    const Eigen::ArrayXf share = weights.row(j).transpose() / weights.row(0).transpose();
    const Eigen::ArrayXf off = (share - table_.usual(j)) / table_.spread(j);
    sum += 0.5 * (kTails + 1) * (1 + off.square().cast<double>() / kTails).log();
  }
  return sum;
}

// Gain in log likelihood that the first few responses bring, less their price;
// the best number of them; for heat, less what is odd about the sum.
Eigen::ArrayXd BandScore::BestGain(const Eigen::MatrixXf& gram,
                                   const Eigen::MatrixXf& match,
                                   const Eigen::ArrayXf& beside,
                                   bool heat) const {
  if (match.cols() == 0) return Eigen::ArrayXd();  // No place is lively enough to be asked.
  // Responses that hardly differ under these times are no freedom.
  const float ridge = kAlike * gram.diagonal().maxCoeff() + 1e-12F;
  Eigen::MatrixXf lower = gram;
  lower.diagonal().array() += ridge;
  lower = LowerFactor(lower);
  const Eigen::MatrixXf parts = lower.triangularView<Eigen::Lower>().solve(match);
  Eigen::ArrayXd best = Eigen::ArrayXd::Constant(match.cols(), kNoGain);
  Eigen::ArrayXf energy = beside;
  for (Eigen::Index n = 1; n <= gram.rows(); ++n) {
    energy += parts.row(n - 1).transpose().array().square();
    Eigen::ArrayXd gain = LogGain(energy) - price_ * static_cast<double>(n);
    if (heat) {
      const Eigen::ArrayXXf weights = lower.topLeftCorner(n, n)
                                          .triangularView<Eigen::Lower>()
                                          .transpose()
                                          .solve(parts.topRows(n))
                                          .array();
      const Eigen::ArrayXf first = weights.row(0).transpose();
      gain -= Oddness(weights);
      gain = (first > 0).select(gain, kNoGain);
    }
    best = best.max(gain);
  }
  return best;
}

BandScore::Partial BandScore::Without(const StepPlaces& at,
                                      const Eigen::RowVectorXd& rises,
                                      int step) const {
  const Eigen::Index num = table_.num_responses();
  Partial out;
  out.match = Eigen::MatrixXf::Zero(num, whole_.size());
  out.gram = Eigen::MatrixXf::Zero(num, num);
  out.product = Eigen::MatrixXf::Zero(num * num, table_.num_times());
  const auto each = [&](const auto& add) {
    for (int k = 0; k < static_cast<int>(at.size()); ++k) {
      if (k != step) add(static_cast<float>(rises(k)), at[static_cast<std::size_t>(k)]);
    }
  };
  each([&](float rise, int place) {
    out.match += rise * matches_[static_cast<std::size_t>(place)];
    for (Eigen::Index a = 0; a < num; ++a) {
      for (Eigen::Index b = 0; b < num; ++b) {
        // Symmetric: columns are read faster than rows.
        out.product.row(a * num + b) += rise * table_.Product(b, a).col(place).transpose();
      }
    }
  });
  each([&](float rise, int place) {
    for (Eigen::Index a = 0; a < num; ++a) {
      for (Eigen::Index b = 0; b < num; ++b) {
        out.gram(a, b) += rise * out.product(a * num + b, place);
      }
    }
  });
  return out;
}

Eigen::ArrayXd BandScore::RatiosWith(const Partial& partial, double rise, int place) const {
  const Eigen::Index num = table_.num_responses();
  const auto by = static_cast<float>(rise);
  Eigen::MatrixXf gram = partial.gram;
  for (Eigen::Index a = 0; a < num; ++a) {
    for (Eigen::Index b = 0; b < num; ++b) {
      gram(a, b) +=
          by * (partial.product(a * num + b, place) + partial.product(b * num + a, place)) +
          by * by * table_.Product(a, b)(place, place);
    }
  }
  const Eigen::ArrayXf nothing = Eigen::ArrayXf::Zero(whole_.size());
  const Eigen::MatrixXf match = partial.match + by * matches_[static_cast<std::size_t>(place)];
  return BestGain(gram, match, nothing, true) - rivals_;
}

}  // namespace ohmglow
