// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/identifiability.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include "base/decompose.h"
#include "base/median.h"
#include "heat/source_courses.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

// Equal parts of the comparison, 0, top, 0 and so on: the best of these.
constexpr std::array kAlternations = {3, 5, 7, 9, 11};
// Share of the capture that might have been left without current at its end.
constexpr double kRest = 0.2;
constexpr std::array kDegrees = {0, 1, 3};
constexpr int kCells = 4000;
// A change of the current that counts, of the highest.
constexpr double kStepFraction = 0.02;
// Below that the course does well enough to say nothing: of one that only
// rises, and of one that might be mended by more changes alone.
constexpr double kWorthSaying = 1.5;
constexpr double kWorthAlternating = 2.5;
// Times more that nobody believes to the digit.
constexpr double kHopeless = 50;
// By hand nobody switches faster than this; longer ones are told in minutes.
constexpr double kByHandS = 4;
constexpr double kMinutesS = 90;

// Power relative to that at the highest current, at any time.
using Power = std::function<double(double)>;

// Norms of the kinds' weighted courses: as they are, and without polynomials.
struct Norms {
  Eigen::ArrayXd whole;
  std::array<Eigen::ArrayXd, kDegrees.size()> left;
  Eigen::ArrayXd model;  // What the model leaves.
};

class Judge {
 public:
  Judge(const TemporalModel& model, const Plate& plate)
      : model_(model),
        times_s_(model.bin_times_s()),
        weight_(model.weight()),
        sources_(MakeSourceCourses(plate)) {
    const std::size_t num = times_s_.size();
    // Bins reach halfway to their neighbours, the outer ones as far outwards.
    first_s_ = num < 2 ? times_s_[0] : times_s_[0] - 0.5 * (times_s_[1] - times_s_[0]);
    last_s_ =
        num < 2 ? times_s_[0] : times_s_[num - 1] + 0.5 * (times_s_[num - 1] - times_s_[num - 2]);
    for (std::size_t i = 0; i < kDegrees.size(); ++i) smooth_[i] = Polynomials(kDegrees[i]);
  }

  [[nodiscard]] double first_s() const { return first_s_; }
  [[nodiscard]] double span_s() const { return last_s_ - first_s_; }

  [[nodiscard]] Norms Measure(const Power& power) const {
    const Eigen::MatrixXd courses = weight_.asDiagonal() * BinnedLags(power) * sources_.mixture;
    Norms norms{courses.colwise().norm().transpose().array(), {}, {}};
    norms.model.resize(courses.cols());
    for (Eigen::Index i = 0; i < courses.cols(); ++i) {
      norms.model(i) = model_.Project(courses.col(i)).norm();
    }
    for (std::size_t i = 0; i < kDegrees.size(); ++i) {
      norms.left[i] = (courses - smooth_[i] * (smooth_[i].transpose() * courses))
                          .colwise()
                          .norm()
                          .transpose()
                          .array();
    }
    return norms;
  }

 private:
  [[nodiscard]] Eigen::MatrixXd Polynomials(int degree) const {
    Eigen::MatrixXd powers(weight_.size(), degree + 1);
    for (Eigen::Index b = 0; b < powers.rows(); ++b) {
      const double x = 2 * (times_s_[static_cast<std::size_t>(b)] - first_s_) / span_s() - 1;
      for (int k = 0; k <= degree; ++k) powers(b, k) = std::pow(x, k);
    }
    return OrthonormalInOrder(weight_.asDiagonal() * powers);
  }

  // Bin means of first-order lags of a power that stands still within each of
  // many short cells; bins x lags. A capture's length of history goes before.
  [[nodiscard]] Eigen::MatrixXd BinnedLags(const Power& power) const {
    const double cell_s = span_s() / kCells;
    const Eigen::ArrayXd decay = (-cell_s / sources_.lags_s.array()).exp();
    Eigen::ArrayXd rise =
        Eigen::ArrayXd::Constant(sources_.lags_s.size(), power(first_s_ - span_s()));
    Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(weight_.size(), rise.size());
    Eigen::VectorXd count = Eigen::VectorXd::Zero(weight_.size());
    std::size_t bin = 0;
    for (int i = -kCells; i < kCells; ++i) {
      const double middle_s = first_s_ + (i + 0.5) * cell_s;
      const double now = power(middle_s);
      const Eigen::ArrayXd next = now + (rise - now) * decay;
      if (i >= 0) {
        while (bin + 1 < times_s_.size() && middle_s > 0.5 * (times_s_[bin] + times_s_[bin + 1])) {
          ++bin;
        }
        const auto row = static_cast<Eigen::Index>(bin);
        sum.row(row) += (0.5 * (rise + next)).matrix().transpose();
        count(row) += 1;
      }
      rise = next;
    }
    return count.cwiseMax(1.0).cwiseInverse().asDiagonal() * sum;
  }

  const TemporalModel& model_;
  std::vector<double> times_s_;
  Eigen::VectorXd weight_;
  SourceCourses sources_;
  double first_s_ = 0;
  double last_s_ = 0;
  std::array<Eigen::MatrixXd, kDegrees.size()> smooth_;
};

double MedianRatio(const Eigen::ArrayXd& above, const Eigen::ArrayXd& below) {
  std::vector<double> ratios;
  for (Eigen::Index i = 0; i < above.size(); ++i) {
    ratios.push_back(above(i) / std::max(below(i), 1e-9));
  }
  return MedianOf(ratios);
}

KeptShare SharesOf(const Norms& norms) {
  const auto share = [&](const Eigen::ArrayXd& left) {
    return std::min(1.0, MedianRatio(left, norms.whole));
  };
  return {share(norms.left[0]), share(norms.left[1]), share(norms.left[2]), share(norms.model)};
}

void ReadCourse(const TemporalModel& model, const Drive& drive, Identifiability& out) {
  const double least_a = kStepFraction * drive.top_amps_a();
  double highest_a = 0;
  out.only_rises = true;
  for (const double time_s : model.bin_times_s()) {
    const double amps_a = drive.AmpsAt(time_s);
    if (amps_a < highest_a - least_a) out.only_rises = false;
    highest_a = std::max(highest_a, amps_a);
  }
  out.no_rest = drive.AmpsAt(model.bin_times_s().front()) > least_a;
}

Remark Cost(double ratio) {
  if (ratio > kHopeless) return Remark(RemarkKind::kShortHardlyTold);
  return Remark(ratio < 3 ? RemarkKind::kShortNeedsSomeHeat : RemarkKind::kShortNeedsHeat)
      .With("times", ratio);
}

Remark Alternate(double part_s) {
  if (part_s < kByHandS) return Remark(RemarkKind::kFilmLonger).With("part_s", kByHandS);
  if (part_s <= kMinutesS) return Remark(RemarkKind::kAlternateS).With("part_s", part_s);
  return Remark(RemarkKind::kAlternateMin).With("part_min", part_s / 60);
}

Remark AdviceFor(const Identifiability& found) {
  const bool plain = !found.only_rises && !found.no_rest;
  // In so short a film everything is slow: alternating in it would not help.
  const bool short_film = found.only_rises && found.alternation_s < kByHandS;
  const double worth = plain ? kWorthAlternating : kWorthSaying;
  if (found.heat_ratio_cubic < worth && !short_film) return {};
  const bool costs_heat = found.heat_ratio >= kWorthSaying;
  if (plain && !costs_heat) return {};
  const RemarkKind cause = found.only_rises ? RemarkKind::kCourseOnlyRises
                           : found.no_rest  ? RemarkKind::kCourseWithoutRest
                                            : RemarkKind::kCourseGoesSlowly;
  const bool rest_is_enough =
      found.only_rises && !short_film && found.heat_ratio_cubic_if_ended_at_zero < kWorthSaying;
  const Remark what_to_do =
      rest_is_enough ? Remark(RemarkKind::kEndAtZero) : Alternate(found.alternation_s);
  Remark advice = Remark(costs_heat ? RemarkKind::kCourseCostsHeat : RemarkKind::kCourse)
                      .With("cause", Remark(cause))
                      .With("what_to_do", what_to_do);
  return costs_heat ? std::move(advice).With("cost", Cost(found.heat_ratio)) : advice;
}

// The best of some alternations, and the length of its parts.
struct Comparison {
  Norms norms;
  double part_s = 0;
};

Comparison BestAlternation(const Judge& judge) {
  Comparison best;
  double most = -1;
  for (const int parts : kAlternations) {
    const double part_s = judge.span_s() / parts;
    Norms norms = judge.Measure([&](double time_s) {
      const double part = std::floor((time_s - judge.first_s()) / part_s);
      return part >= 0 && std::fmod(part, 2) == 1 ? 1.0 : 0.0;
    });
    const Eigen::ArrayXd ones = Eigen::ArrayXd::Ones(norms.whole.size());
    const double left = MedianRatio(norms.left.back(), ones);
    if (left <= most) continue;
    most = left;
    best = {std::move(norms), part_s};
  }
  return best;
}

}  // namespace

Identifiability JudgeDrive(const TemporalModel& model, const Drive& drive, const Plate& plate) {
  const Judge judge(model, plate);
  const auto power = [&](double time_s) {
    return std::pow(drive.AmpsAt(time_s) / drive.top_amps_a(), 2);
  };
  // The same levels in the rest of the time, each shorter by as much.
  const auto ended_at_zero = [&](double time_s) {
    const double after_s = time_s - judge.first_s();
    if (after_s <= 0) return power(time_s);
    return after_s >= (1 - kRest) * judge.span_s() ? 0.0
                                                   : power(judge.first_s() + after_s / (1 - kRest));
  };
  const Norms own = judge.Measure(power);
  const Comparison best = BestAlternation(judge);
  Identifiability out;
  out.kept = SharesOf(own);
  out.if_alternated = SharesOf(best.norms);
  out.alternation_s = best.part_s;
  out.heat_ratio = MedianRatio(best.norms.model, own.model);
  out.heat_ratio_cubic = MedianRatio(best.norms.left.back(), own.left.back());
  out.heat_ratio_cubic_if_ended_at_zero =
      MedianRatio(best.norms.left.back(), judge.Measure(ended_at_zero).left.back());
  ReadCourse(model, drive, out);
  out.advice = AdviceFor(out);
  return out;
}

}  // namespace ohmglow
