// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/odd_bins.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/median.h"
#include "base/quantile.h"

namespace ohmglow {
namespace {

constexpr Eigen::Index kMostInARow = 2;
// Of all bins; where more are odd, that is how the place goes.
constexpr double kMostOdd = 1.0 / 12;
constexpr Eigen::Index kLeastBins = 8;
// Of the course's range, between these shares of the levels: less does little harm.
constexpr double kOddOfRange = 0.1;
constexpr double kRangeShare = 0.9;
// Of the difference that neighbours usually have.
constexpr double kOddOfUsual = 6;
constexpr double kOddOfNoise = 10;
// The quickest heat of the supply, as a share of its whole rise.
constexpr double kQuickestS = 0.3;
constexpr double kPulse = 0.02;

// How far a run of bins lies beyond both its neighbours, all of it to one side.
double Beyond(const Eigen::VectorXd& values, Eigen::Index first, Eigen::Index count) {
  const double before = values(first - 1);
  const double after = values(first + count);
  const auto run = values.segment(first, count);
  return std::max(run.minCoeff() - std::max(before, after),
                  std::min(before, after) - run.maxCoeff());
}

struct Run {
  Eigen::Index first = 0;
  Eigen::Index count = 0;
  double beyond = 0;
};

// Calls with each run that has a neighbour on either side.
template <typename Work>
void ForEachRun(const Eigen::VectorXd& values, const Work& work) {
  for (Eigen::Index count = 1; count <= kMostInARow; ++count) {
    for (Eigen::Index first = 1; first + count < values.size(); ++first) {
      work(Run{first, count, Beyond(values, first, count)});
    }
  }
}

// Bins where heat goes up and down again at once, and, as the clock may be off, those beside.
std::vector<bool> PulsesOf(const TemporalModel& model, const Drive& drive) {
  const Eigen::VectorXd quick = model.BinnedLag(drive, kQuickestS, 1);
  std::vector<bool> pulses(static_cast<std::size_t>(quick.size()));
  ForEachRun(quick, [&](const Run& run) {
    if (run.beyond < kPulse) return;
    for (Eigen::Index b = run.first - 1; b <= run.first + run.count; ++b) {
      pulses[static_cast<std::size_t>(b)] = true;
    }
  });
  return pulses;
}

// From how far beyond its neighbours a run is odd.
double FarFrom(const Eigen::VectorXd& values, double noise) {
  std::vector<double> levels(values.begin(), values.end());
  std::vector<double> changes;
  for (Eigen::Index b = 1; b < values.size(); ++b) {
    changes.push_back(std::abs(values(b) - values(b - 1)));
  }
  // The range that a few odd bins do not widen.
  const double range = QuantileOf(levels, kRangeShare) - QuantileOf(levels, 1 - kRangeShare);
  return std::max({kOddOfRange * range, kOddOfUsual * MedianOf(changes), kOddOfNoise * noise});
}

}  // namespace

OddBins::OddBins(const TemporalModel& model, const Drive& drive)
    : weight_(model.weight()), times_s_(model.bin_times_s()), pulses_(PulsesOf(model, drive)) {}

// The farthest first: beside it sound bins look odd too, until it is bridged. Each bridge
// takes twice `far` of the way that the course goes up and down, so this ends.
OddBins::Mended OddBins::Mend(const Eigen::VectorXd& course, double noise_k) const {
  Eigen::VectorXd values = course.cwiseQuotient(weight_);
  if (values.size() < kLeastBins) return {course, {}};
  const double far = FarFrom(values, noise_k / weight_.minCoeff());
  const double most = kMostOdd * static_cast<double>(values.size());
  std::set<Eigen::Index> odd;
  while (true) {
    Run farthest;
    ForEachRun(values, [&](const Run& run) {
      if (run.beyond <= farthest.beyond || run.beyond < far) return;
      const auto pulse = pulses_.begin() + run.first;
      if (std::find(pulse, pulse + run.count, true) == pulse + run.count) farthest = run;
    });
    if (farthest.count == 0) break;
    for (Eigen::Index b = 0; b < farthest.count; ++b) odd.insert(farthest.first + b);
    if (static_cast<double>(odd.size()) > most) return {course, {}};
    Bridge(farthest.first, farthest.count, values);
  }
  if (odd.empty()) return {course, {}};
  const Eigen::VectorXd mended = weight_.cwiseProduct(values);
  return {mended - weight_ * (weight_.dot(mended) / weight_.squaredNorm()),
          {odd.begin(), odd.end()}};
}

void OddBins::Bridge(Eigen::Index first, Eigen::Index count, Eigen::VectorXd& values) const {
  const Eigen::Index before = first - 1;
  const Eigen::Index after = first + count;
  const auto time_s = [&](Eigen::Index b) { return times_s_[static_cast<std::size_t>(b)]; };
  for (Eigen::Index b = first; b < after; ++b) {
    const double share = (time_s(b) - time_s(before)) / (time_s(after) - time_s(before));
    values(b) = (1 - share) * values(before) + share * values(after);
  }
}

}  // namespace ohmglow
