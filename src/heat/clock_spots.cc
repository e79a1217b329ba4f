// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock_spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numeric>

#include "base/median.h"
#include "heat/clock_timing.h"

namespace ohmglow {

// Not in the nameless namespace: SpotReader::Votes has one.
struct OffsetMoments {
  double mean = 0;
  double sd = 0;
};

namespace {

constexpr double kRangeS = 1.6;
constexpr double kStepS = 0.1;
constexpr int kFinePerStep = 5;
constexpr double kFineS = kStepS / kFinePerStep;
// Three places of the search are enough to see which spots are warm.
// A few kinds of source show where it is warm; no divisor of the lists of kinds.
constexpr Eigen::Index kFewOfKinds = 7;
constexpr std::array kProbesS = {-0.8, 0.0, 0.8};
// What no kind describes: error of one spot's clock, alone and with the time
// to half of its rise h, as h (1 + h). From simulated boards.
constexpr double kModelS = 0.03;
constexpr double kModelOfHalf = 0.04;
// Residuals of neighbouring bins hang together: information counted half.
constexpr double kTemper = 0.5;
// Spots that say nothing of the clock: of the warmest ones, and of faint ones.
constexpr double kStrayProb = 0.1;
constexpr double kFaintStrayProb = 0.9;
constexpr double kFaintShare = 0.2;
constexpr std::size_t kMostEvident = 4;
constexpr std::size_t kHottest = 12;
// More changes of current than this are no staircase.
constexpr std::size_t kMostSteps = 12;
// A step that is timed worse says nothing.
constexpr double kPoorStepS = 2;
constexpr double kWrongStepProb = 0.05;
constexpr double kWrongStepDensity = 0.3;  // 1/s
// Two quartz clocks differ by 200 ppm at the most: as a standard deviation.
constexpr double kPriorRate = 200e-6 / 1.7320508;
// The frames tell the rate where they make it surer than this part of that.

OffsetMoments MomentsOf(const std::vector<double>& at, const std::vector<double>& log_density) {
  const double top = *std::max_element(log_density.begin(), log_density.end());
  double norm = 0;
  double mean = 0;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double weight = std::exp(log_density[i] - top);
    norm += weight;
    mean += weight * at[i];
  }
  mean /= norm;
  double square = 0;
  for (std::size_t i = 0; i < at.size(); ++i) {
    square += std::exp(log_density[i] - top) * std::pow(at[i] - mean, 2);
  }
  return {mean, std::sqrt(square / norm)};
}

// Parabolas through the three nearest.
std::vector<double> Upsampled(const std::vector<double>& curve) {
  std::vector<double> fine;
  const auto last = static_cast<int>(curve.size()) - 1;
  for (int i = 0; i <= last * kFinePerStep; ++i) {
    const double at = static_cast<double>(i) / kFinePerStep;
    const auto c =
        static_cast<std::size_t>(std::clamp<long>(std::lround(at), 1, static_cast<long>(last) - 1));
    const double x = at - static_cast<double>(c);
    fine.push_back(curve[c] + 0.5 * x * (curve[c + 1] - curve[c - 1]) +
                   0.5 * x * x * (curve[c + 1] + curve[c - 1] - 2 * curve[c]));
  }
  return fine;
}

// Convolved with a Gaussian, sum 1.
std::vector<double> Blurred(const std::vector<double>& density, double sigma_s) {
  const double sigma = sigma_s / kFineS;
  const int reach = std::max(1, static_cast<int>(std::ceil(4 * sigma)));
  const auto size = static_cast<int>(density.size());
  std::vector<double> out(density.size(), 0.0);
  for (int i = 0; i < size; ++i) {
    for (int k = std::max(-reach, -i); k <= std::min(reach, size - 1 - i); ++k) {
      out[static_cast<std::size_t>(i)] +=
          std::exp(-0.5 * k * k / (sigma * sigma)) * density[static_cast<std::size_t>(i + k)];
    }
  }
  const double norm = std::accumulate(out.begin(), out.end(), 0.0);
  for (double& value : out) value /= norm;
  return out;
}

std::vector<double> Middles(const std::vector<LogStep>& steps) {
  std::vector<double> at_s;
  for (const LogStep& step : steps) at_s.push_back(step.middle_s());
  return at_s;
}

// What an unknown rate error of the two clocks leaves of the offset, over the steps. The rate
// itself is not fitted: 200 ppm move a step by at most 1/5000 of the capture, which is 1/40 of one
// of the 128 bins that it is folded into.
double RateErrorS(const std::vector<LogStep>& steps) {
  const double span_s = steps.back().middle_s() - steps.front().middle_s();
  return kPriorRate * std::max(span_s, 0.0) / std::sqrt(12.0);
}

}  // namespace

// One spot's word on the offset, on the fine grid.
struct SpotReader::Voice {
  std::vector<double> density;
  double own_sd_s = 0;
  double model_sd_s = 0;
  double stray_prob = 0;
};

struct SpotReader::Votes {
  std::vector<double> coarse_s;
  std::vector<double> fine_s;
  std::vector<Eigen::ArrayXXf> gains;  // per coarse offset: kinds x spots
  std::vector<Voice> voices;
  OffsetMoments offset;
};

SpotReader::SpotReader(const Stack& stack,
                       const TemporalModel& model,
                       const SupplyLog& log,
                       const Plate& plate,
                       double mm_per_pixel)
    : model_(model),
      first_frame_s_(stack.frame_times_s.front().front()),
      last_frame_s_(stack.frame_times_s.back().back()),
      raw_log_(log),
      steps_(FindSteps(log)),
      sources_(MakeBandCourses(plate, mm_per_pixel * kBandInnerPx, mm_per_pixel * kBandOuterPx)),
      few_(EveryNth(sources_, kFewOfKinds)),
      grid_(MakeFineGrid(stack, model)) {
  if (steps_.size() > kMostSteps) steps_.clear();
  log_ = PlaceSteps(log, steps_, Middles(steps_));
}

SpotReader::Votes SpotReader::Ask(const FineGrid& spots, double around_s) const {
  Votes votes;
  const int half = static_cast<int>(std::lround(kRangeS / kStepS));
  for (int i = -half; i <= half; ++i) {
    votes.coarse_s.push_back(around_s + i * kStepS);
    votes.gains.push_back(KindGains(spots, sources_, model_, log_, votes.coarse_s.back()));
  }
  for (int i = 0; i <= 2 * half * kFinePerStep; ++i) {
    votes.fine_s.push_back(votes.coarse_s.front() + i * kFineS);
  }
  const double uniform = 1.0 / static_cast<double>(votes.fine_s.size());
  std::vector<double> total;
  for (const double offset_s : votes.fine_s) {
    total.push_back(StepsLogPrior(log_, first_frame_s_, last_frame_s_, offset_s));
  }
  double strongest = 0;
  for (Eigen::Index s = 0; s < spots.courses.cols(); ++s) {
    Voice voice;
    std::vector<double> curve;
    double top = -1;
    Eigen::Index kind = 0;
    for (const Eigen::ArrayXXf& gains : votes.gains) {
      Eigen::Index k = 0;
      curve.push_back(kTemper * static_cast<double>(gains.col(s).maxCoeff(&k)));
      if (curve.back() > top) {
        top = curve.back();
        kind = k;
      }
    }
    strongest = std::max(strongest, top);
    curve = Upsampled(curve);
    voice.own_sd_s = std::max(MomentsOf(votes.fine_s, curve).sd, 0.5 * kFineS);
    const double half_s = sources_.half_s(kind);
    voice.model_sd_s = kModelS + kModelOfHalf * half_s * (1 + half_s);
    voice.stray_prob =
        kStrayProb + (kFaintStrayProb - kStrayProb) * std::exp(-top / strongest / kFaintShare);
    for (double& value : curve) value = std::exp(value - top);
    voice.density = Blurred(curve, voice.model_sd_s);
    for (std::size_t i = 0; i < total.size(); ++i) {
      total[i] += std::log((1 - voice.stray_prob) * voice.density[i] + voice.stray_prob * uniform);
    }
    votes.voices.push_back(std::move(voice));
  }
  votes.offset = MomentsOf(votes.fine_s, total);
  return votes;
}

// Where each step is seen, against where the log has it: the offset is what
// brings all into their gaps.
void SpotReader::TimeEachStep(const FineGrid& spots, const Votes& votes, SpotClock& out) const {
  const double around_s = votes.offset.mean;
  const auto nearest = [&](const std::vector<double>& offsets_s) {
    const auto after = std::lower_bound(offsets_s.begin(), offsets_s.end(), around_s);
    return std::min(static_cast<std::size_t>(after - offsets_s.begin()), offsets_s.size() - 1);
  };
  const std::size_t coarse = nearest(votes.coarse_s);
  const std::size_t fine = nearest(votes.fine_s);
  const double uniform = 1.0 / static_cast<double>(votes.fine_s.size());
  std::vector<Eigen::Index> kinds;
  std::vector<double> weights;
  for (Eigen::Index s = 0; s < spots.courses.cols(); ++s) {
    Eigen::Index kind = 0;
    votes.gains[coarse].col(s).maxCoeff(&kind);
    kinds.push_back(kind);
    const Voice& voice = votes.voices[static_cast<std::size_t>(s)];
    const double good = (1 - voice.stray_prob) * voice.density[fine];
    const double own2 = voice.own_sd_s * voice.own_sd_s;
    weights.push_back(kTemper * good / (good + voice.stray_prob * uniform) * own2 /
                      (own2 + voice.model_sd_s * voice.model_sd_s));
  }
  const StepTiming timing =
      TimeSteps(spots, kinds, weights, sources_, model_, raw_log_, steps_, around_s);
  std::vector<double> posterior;
  for (const double offset_s : votes.fine_s) {
    posterior.push_back(StepsLogPrior(log_, first_frame_s_, last_frame_s_, offset_s));
  }
  for (std::size_t j = 0; j < steps_.size(); ++j) {
    if (timing.sigma_s[j] > kPoorStepS) continue;
    const double scale_s = timing.sigma_s[j] * std::sqrt(2.0);
    const double gap_s = std::max(steps_[j].late_s - steps_[j].early_s, 1e-3);
    for (std::size_t i = 0; i < posterior.size(); ++i) {
      const double seen_s = timing.seen_s[j] + around_s - votes.fine_s[i];
      const double density = 0.5 / gap_s *
                             (std::erf((steps_[j].late_s - seen_s) / scale_s) -
                              std::erf((steps_[j].early_s - seen_s) / scale_s));
      posterior[i] += std::log((1 - kWrongStepProb) * density + kWrongStepProb * kWrongStepDensity);
    }
  }
  const OffsetMoments offset = MomentsOf(votes.fine_s, posterior);
  out.offset_s = offset.mean;
  out.sigma_s = std::hypot(RateErrorS(steps_), offset.sd, votes.offset.sd);
  out.step_s = timing.at_s;
  for (std::size_t j = 0; j < steps_.size(); ++j) {
    out.step_s[j] =
        std::clamp(out.step_s[j] + around_s - out.offset_s, steps_[j].early_s, steps_[j].late_s);
  }
}

double SpotReader::Evidence(double offset_s) const {
  const Eigen::ArrayXf best =
      KindGains(grid_, few_, model_, log_, offset_s).colwise().maxCoeff().transpose();
  double sum = 0;
  const std::vector<Eigen::Index> spots = FindSpots(grid_, best);
  for (std::size_t i = 0; i < std::min(spots.size(), kMostEvident); ++i) {
    sum += kTemper * static_cast<double>(best(spots[i]));
  }
  return sum;
}

SpotReader::Share SpotReader::Explained(double offset_s) const {
  const Eigen::ArrayXf gains =
      KindGains(grid_, few_, model_, log_, offset_s).colwise().maxCoeff().transpose();
  std::vector<float> usual(grid_.whole.data(), grid_.whole.data() + grid_.whole.size());
  std::vector<Eigen::Index> order(usual.size());
  std::iota(order.begin(), order.end(), 0);
  const std::size_t count = std::min(kHottest, order.size());
  std::partial_sort(order.begin(),
                    order.begin() + static_cast<std::ptrdiff_t>(count),
                    order.end(),
                    [&](auto a, auto b) {
                      return grid_.whole(a) - grid_.tremble(a) > grid_.whole(b) - grid_.tremble(b);
                    });
  const float median = MedianOf(usual);
  Share out;
  for (std::size_t i = 0; i < count; ++i) {
    const double share = 1 - std::exp(-2 * static_cast<double>(gains(order[i])) / grid_.degrees);
    out.share += share / static_cast<double>(count);
    out.excess += static_cast<double>(grid_.whole(order[i]) / median) / static_cast<double>(count);
  }
  return out;
}

std::optional<SpotClock> SpotReader::Read(double around_s) const {
  Eigen::ArrayXf best = Eigen::ArrayXf::Zero(grid_.whole.size());
  for (const double shift_s : kProbesS) {
    best = best.max(
        KindGains(grid_, few_, model_, log_, around_s + shift_s).colwise().maxCoeff().transpose());
  }
  const std::vector<Eigen::Index> chosen = FindSpots(grid_, best);
  if (chosen.empty()) return std::nullopt;
  const FineGrid spots = Select(grid_, chosen);
  const Votes votes = Ask(spots, around_s);
  SpotClock out;
  out.gain = static_cast<double>(best(chosen.front()));
  out.offset_s = votes.offset.mean;
  out.sigma_s = votes.offset.sd;
  out.step_s = Middles(steps_);
  if (!steps_.empty()) TimeEachStep(spots, votes, out);
  return out;
}

}  // namespace ohmglow
