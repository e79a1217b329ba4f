// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/step_score.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace ohmglow {
namespace {

// Energy of a course that the models of all explanations miss.
constexpr float kModelError = 0.01F;
// Residuals of neighbouring bins hang together: information counted half.
constexpr double kTemper = 0.5;
// That a lively place is heat of the supply, before looking. Times are fitted to noise
// as well as to heat, which gives a place without heat 5 to 6 in log likelihood: low
// enough that such places do not speak.
constexpr double kHeatProb = 0.01;
// Kinds of source and exponents that a course tells apart, about.
constexpr double kHeatKinds = 10;
// A current set by hand stays this long.
constexpr double kShortestLevelS = 0.6;
// Levels of much the same length are likelier: exponent of a Dirichlet density, less 1.
constexpr double kEvenness = 2;
// A time noted by hand is never wrong by more than this many times what was said.
constexpr double kFarOff = 1.5;
constexpr double kImpossible = -1e6;

double TopAmps(const std::vector<SetLevel>& levels) {
  double top_a = 0;
  for (const SetLevel& level : levels) top_a = std::max(top_a, level.amps_a);
  return top_a;
}

}  // namespace

// The sums over all steps but one.
struct StepScore::Partial {
  std::array<Eigen::ArrayXXf, 2> match;    // per exponent: kinds x spots
  std::array<Eigen::ArrayXf, 2> square;    // per exponent: per kind
  std::array<Eigen::ArrayXXf, 2> product;  // per exponent: times x kinds
};

StepScore::StepScore(const StepTable& table,
                     const FineGrid& spots,
                     const std::vector<SetLevel>& levels)
    : table_(table), levels_(levels) {
  const double top_a = TopAmps(levels);
  rises_.resize(2, static_cast<Eigen::Index>(levels.size()) - 1);
  for (Eigen::Index k = 0; k < rises_.cols(); ++k) {
    const double before = levels[static_cast<std::size_t>(k)].amps_a / top_a;
    const double after = levels[static_cast<std::size_t>(k) + 1].amps_a / top_a;
    rises_(0, k) = after - before;
    rises_(1, k) = after * after - before * before;
  }
  least_apart_ = std::max(1, static_cast<int>(std::ceil(kShortestLevelS / table.pitch_s())));
  const auto num_kinds = static_cast<Eigen::Index>(table.courses.size());
  squares_.resize(num_kinds, table.num_times());
  matches_.assign(static_cast<std::size_t>(table.num_times()),
                  Eigen::ArrayXXf(num_kinds, spots.courses.cols()));
  for (Eigen::Index j = 0; j < num_kinds; ++j) {
    const auto kind = static_cast<std::size_t>(j);
    squares_.row(j) = table.products[kind].diagonal().transpose().array();
    const Eigen::MatrixXf match = table.courses[kind].transpose() * spots.courses;
    for (int i = 0; i < table.num_times(); ++i) {
      matches_[static_cast<std::size_t>(i)].row(j) = match.row(i).array();
    }
  }
  const Eigen::ArrayXf energy = spots.courses.colwise().squaredNorm().transpose().array();
  whole_ = energy + spots.tremble + kModelError * energy;
  FindOthers(spots);
}

// A smooth course with a single change in it, up or down, of any kind, at any
// time, or nothing; each freedom, that of heat too, costs what the Bayesian information criterion
// says (Schwarz, Ann. Stat. 6 (1978) 461-464).
void StepScore::FindOthers(const FineGrid& spots) {
  const Eigen::MatrixXf smooth = table_.smooth.transpose() * spots.courses;
  const Eigen::ArrayXf of_smooth = smooth.colwise().squaredNorm().transpose().array();
  Eigen::ArrayXf of_change = Eigen::ArrayXf::Zero(whole_.size());
  for (std::size_t j = 0; j < table_.courses.size(); ++j) {
    // What is left of both once the smooth courses are out.
    const Eigen::MatrixXf shared = table_.smooth.transpose() * table_.courses[j];
    const Eigen::ArrayXf square =
        (squares_.row(static_cast<Eigen::Index>(j)).transpose() -
         shared.colwise().squaredNorm().transpose().array())
            .max(1e-3F * squares_.row(static_cast<Eigen::Index>(j)).transpose())
            .max(1e-9F);
    const Eigen::ArrayXXf match =
        (table_.courses[j].transpose() * spots.courses - shared.transpose() * smooth).array();
    of_change = of_change.max((match.square().colwise() / square).colwise().maxCoeff().transpose());
  }
  const double cost =
      0.5 * std::log(table_.degrees) * static_cast<double>(table_.smooth.cols() + 1);
  const double heat_cost = 0.5 * std::log(table_.degrees) + std::log(kHeatKinds);
  log_other_ = (LogGain((of_smooth + of_change) / whole_) - cost).max(0.0) + heat_cost;
}

Eigen::ArrayXd StepScore::LogGain(const Eigen::ArrayXf& share) const {
  return -0.5 * kTemper * table_.degrees * (1 - share.cast<double>()).max(1e-6).log();
}

StepScore::Partial StepScore::Without(const StepPlaces& at, int step) const {
  Partial out;
  const auto num_kinds = static_cast<Eigen::Index>(table_.courses.size());
  for (std::size_t n = 0; n < 2; ++n) {
    out.match[n] = Eigen::ArrayXXf::Zero(num_kinds, whole_.size());
    out.square[n] = Eigen::ArrayXf::Zero(num_kinds);
    out.product[n] = Eigen::ArrayXXf::Zero(table_.num_times(), num_kinds);
    for (int k = 0; k < num_steps(); ++k) {
      if (k == step) continue;
      const auto rise = static_cast<float>(rises_(static_cast<Eigen::Index>(n), k));
      const auto place = static_cast<std::size_t>(at[static_cast<std::size_t>(k)]);
      out.match[n] += rise * matches_[place];
      for (Eigen::Index j = 0; j < num_kinds; ++j) {
        out.product[n].col(j) += rise * table_.products[static_cast<std::size_t>(j)]
                                            .col(static_cast<Eigen::Index>(place))
                                            .array();
      }
    }
    for (int k = 0; k < num_steps(); ++k) {
      if (k == step) continue;
      const auto rise = static_cast<float>(rises_(static_cast<Eigen::Index>(n), k));
      out.square[n] += rise * out.product[n].row(at[static_cast<std::size_t>(k)]).transpose();
    }
  }
  return out;
}

Eigen::ArrayXd StepScore::RatiosWith(const Partial& partial, int step, int place) const {
  Eigen::ArrayXf most = Eigen::ArrayXf::Zero(whole_.size());
  for (std::size_t n = 0; n < 2; ++n) {
    const auto rise = static_cast<float>(rises_(static_cast<Eigen::Index>(n), step));
    const Eigen::ArrayXf square =
        (partial.square[n] + 2 * rise * partial.product[n].row(place).transpose() +
         rise * rise * squares_.col(place))
            .max(1e-9F);
    const Eigen::ArrayXXf match =
        (partial.match[n] + rise * matches_[static_cast<std::size_t>(place)]).max(0.0F);
    most = most.max((match.square().colwise() / square).colwise().maxCoeff().transpose());
  }
  return LogGain(most / whole_) - log_other_;
}

double StepScore::LogPrior(const StepPlaces& at) const {
  const double span = table_.num_times() - 1;
  double sum = 0;
  int before = 0;
  for (std::size_t k = 0; k <= at.size(); ++k) {
    const int here = k < at.size() ? at[k] : table_.num_times() - 1;
    const double length = std::max(here - before, 1) / span * static_cast<double>(at.size() + 1);
    sum += kEvenness * std::log(length);
    before = here;
    if (k == at.size()) break;
    const SetLevel& level = levels_[k + 1];
    if (!level.start_s) continue;
    const double off =
        (table_.times_s[static_cast<std::size_t>(at[k])] - *level.start_s) / level.within_s;
    sum += std::abs(off) > kFarOff ? kImpossible * std::abs(off) : -0.5 * 1.96 * 1.96 * off * off;
  }
  return sum;
}

Eigen::ArrayXd StepScore::LogRatios(const StepPlaces& at) const {
  return RatiosWith(Without(at, 0), 0, at[0]);
}

double StepScore::Of(const StepPlaces& at) const { return Scan(at, 0, at[0], at[0]).front(); }

double StepScore::Evidence(const StepPlaces& at) const { return Of(at) - LogPrior(at); }

std::vector<double> StepScore::Scan(const StepPlaces& at, int step, int first, int last) const {
  const Partial partial = Without(at, step);
  StepPlaces trial = at;
  std::vector<double> scores;
  for (int place = first; place <= last; ++place) {
    trial[static_cast<std::size_t>(step)] = place;
    // log(p exp(r) + 1 - p), whatever the size of r.
    const Eigen::ArrayXd ratios = RatiosWith(partial, step, place);
    const Eigen::ArrayXd high = ratios.max(0.0);
    const double sum =
        (high + (kHeatProb * (ratios - high).exp() + (1 - kHeatProb) * (-high).exp()).log()).sum();
    scores.push_back(sum + LogPrior(trial));
  }
  return scores;
}

int StepScore::Earliest(const StepPlaces& at, int step) const {
  return (step == 0 ? 0 : at[static_cast<std::size_t>(step) - 1]) + least_apart_;
}

int StepScore::Latest(const StepPlaces& at, int step) const {
  const int next =
      step + 1 == num_steps() ? table_.num_times() - 1 : at[static_cast<std::size_t>(step) + 1];
  return next - least_apart_;
}

}  // namespace ohmglow
