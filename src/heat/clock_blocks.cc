// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock_blocks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/in_parallel.h"
#include "base/median.h"
#include "heat/clock_steps.h"
#include "heat/row_mix.h"

namespace ohmglow {
namespace {

// Smooth courses (a reflection that wanders, a hand that came near) would pull
// the offset: only what has corners may vote.
constexpr int kSmoothDegree = 7;
// Neighbouring blocks share blur, heat and motion: this many count as one.
constexpr double kBlocksPerIndependent = 4;
// Gain in log likelihood that a block without heat reaches now and then.
constexpr double kQuietGain = 8;
// What a block that votes at one offset gains at the next ones of the sparse round, at least.
constexpr float kOpenGain = 4;
constexpr int kBlock = 3;
// Edges of the static picture tremble with every registration error of about
// this size: their blocks must not vote.
constexpr double kTremblePx = 0.1;
// The first round leaves open what is this much less likely than its best.
constexpr double kOpenLogRatio = 12;
constexpr int kFewestVoters = 4;
// Spread of the difference of two clocks set by hand.
constexpr double kPriorSigmaS = 4;
// Log probability density, against no difference at all, of any other one.
constexpr double kQuiteAnotherLogPrior = -12;
// Far from the usual range only the busiest blocks vote, at wider strides.
constexpr Eigen::Index kBusiestBlocks = 200;
constexpr int kFarStride = 5;
constexpr double kFarMustWinBy = 1.3;
constexpr double kStepMarginS = 1;
constexpr double kStepFraction = 0.02;
// Finding the hill takes only some of the kinds; no divisor of their lists.
constexpr Eigen::Index kFewOfKinds = 4;
// Regions of the picture whose votes are compared.
constexpr int kGroupColumns = 4;
constexpr int kGroupRows = 3;

// Weighted courses of blocks of pixels, one a column.
Eigen::MatrixXf BlockCourses(const Stack& stack, const TemporalModel& model) {
  const cv::Size size = stack.size_px();
  const int columns = size.width / kBlock;
  const int rows = size.height / kBlock;
  const std::vector<float> levels = BinLevels(stack);
  Eigen::MatrixXf blocks(stack.size(), columns * rows);
  Eigen::RowVectorXf sum(columns * kBlock);
  for (int b = 0; b < stack.size(); ++b) {
    const auto bin = static_cast<std::size_t>(b);
    const auto weight = static_cast<float>(model.weight()(b));
    for (int y = 0; y < rows; ++y) {
      sum.setConstant(-kBlock * levels[bin]);
      for (int k = 0; k < kBlock; ++k) {
        sum += Eigen::Map<const Eigen::RowVectorXf>(stack.bins_k[bin][y * kBlock + k], sum.size());
      }
      for (int x = 0; x < columns; ++x) {
        blocks(b, y * columns + x) = weight * sum.segment<kBlock>(x * kBlock).sum();
      }
    }
  }
  return blocks;
}

// Silences blocks with pixels beyond the camera's range: their courses are cut.
void Silence(const Mask& out_of_range, Eigen::MatrixXf& blocks) {
  const int columns = out_of_range.cols / kBlock;
  const int rows = out_of_range.rows / kBlock;
  for (int y = 0; y < rows * kBlock; ++y) {
    for (int x = 0; x < columns * kBlock; ++x) {
      if (out_of_range(y, x) != 0) blocks.col(y / kBlock * columns + x / kBlock).setZero();
    }
  }
}

// Energy that trembling edges alone would give each block's course.
Eigen::ArrayXf TrembleEnergy(const Stack& stack, double degrees) {
  Image smooth;
  cv::blur(stack.bins_k[stack.bins_k.size() / 2], smooth, {kBlock, kBlock});
  Image dx;
  Image dy;
  cv::Sobel(smooth, dx, CV_32F, 1, 0, 3, 1.0 / 8);
  cv::Sobel(smooth, dy, CV_32F, 0, 1, 3, 1.0 / 8);
  double frames = 0;
  for (const double n : stack.num_frames) frames += n / static_cast<double>(stack.size());
  const int columns = smooth.cols / kBlock;
  const int rows = smooth.rows / kBlock;
  Eigen::ArrayXf energy(columns * rows);
  const double gain = kTremblePx * kBlock * kBlock;
  for (int y = 0; y < rows; ++y) {
    for (int x = 0; x < columns; ++x) {
      const cv::Point at(x * kBlock + kBlock / 2, y * kBlock + kBlock / 2);
      const double slope = gain * std::hypot(dx(at), dy(at));
      energy(y * columns + x) = static_cast<float>(frames * degrees * slope * slope);
    }
  }
  return energy;
}

// Gain in profile log likelihood of the best kind of source in each block.
Eigen::ArrayXf BlockGains(const PixelRows& blocks,
                          const Eigen::ArrayXf& whole,
                          const TemporalModel& model,
                          const SourceCourses& sources,
                          const SupplyLog& log,
                          double offset_s) {
  const Drive drive(log, offset_s);
  const Eigen::MatrixXd courses = model.ProjectedLags(drive, sources.lags_s, 2) * sources.mixture;
  // Where the offset moves every step out of the capture, the courses are zero.
  const Eigen::RowVectorXd norms = courses.colwise().norm().cwiseMax(1e-12);
  const Eigen::MatrixXf kinds = (courses.array().rowwise() / norms.array()).matrix().cast<float>();
  // One kind of source, and only heating: free mixtures of lags would mimic an offset.
  const PixelRows matches = Mixed(kinds.transpose(), blocks);
  Eigen::ArrayXf match = Eigen::ArrayXf::Zero(blocks.cols());
  for (Eigen::Index k = 0; k < matches.rows(); ++k) {
    match = match.max(matches.row(k).transpose().array());
  }
  const Eigen::ArrayXf share = (match.square() / whole.max(1e-12F)).min(0.9999F);
  const auto degrees = static_cast<float>(model.num_bins() - model.num_nuisances());
  return -0.5F * degrees * (1 - share).log();
}

// The columns whose entry in `keep` is positive.
PixelRows Select(const Eigen::MatrixXf& columns, const Eigen::ArrayXf& keep) {
  PixelRows out(columns.rows(), (keep > 0).count());
  Eigen::Index n = 0;
  for (Eigen::Index i = 0; i < keep.size(); ++i) {
    if (keep(i) > 0) out.col(n++) = columns.col(i);
  }
  return out;
}

// The columns of the `count` largest values.
Eigen::ArrayXf MarkLargest(const Eigen::ArrayXf& values, Eigen::Index count) {
  std::vector<float> sorted(values.data(), values.data() + values.size());
  if (count >= values.size()) return Eigen::ArrayXf::Ones(values.size());
  std::nth_element(sorted.begin(), sorted.begin() + count, sorted.end(), std::greater<>());
  return (values > sorted[static_cast<std::size_t>(count)]).cast<float>();
}

// First and last time in the log at which the current changes for good.
std::array<double, 2> StepTimes(const SupplyLog& log) {
  const double top_a = *std::max_element(log.amps_a.begin(), log.amps_a.end());
  std::array<double, 2> times_s = {1e300, -1e300};
  for (std::size_t i = 1; i < log.time_s.size(); ++i) {
    if (std::abs(log.amps_a[i] - log.amps_a[i - 1]) < kStepFraction * top_a) continue;
    times_s[0] = std::min(times_s[0], log.time_s[i]);
    times_s[1] = std::max(times_s[1], log.time_s[i]);
  }
  return times_s;
}

HeatOptions Smoother(HeatOptions options) {
  options.drift_order = kSmoothDegree;
  return options;
}

double Vote(const Eigen::ArrayXf& gains) {
  return static_cast<double>(gains.sum()) / kBlocksPerIndependent;
}

}  // namespace

double ClockLogPrior(double offset_s) {
  // Two clocks set by hand; now and then one that is quite another.
  return std::max(-0.5 * std::pow(offset_s / kPriorSigmaS, 2), kQuiteAnotherLogPrior);
}

ClockOffset SummariseClock(const std::vector<double>& offsets_s,
                           const std::vector<double>& likelihood) {
  const auto best = std::max_element(likelihood.begin(), likelihood.end());
  double norm = 0;
  double mean_s = 0;
  double square_s2 = 0;
  for (std::size_t i = 0; i < offsets_s.size(); ++i) {
    const double weight = std::exp(likelihood[i] - *best);
    norm += weight;
    mean_s += weight * offsets_s[i];
    square_s2 += weight * offsets_s[i] * offsets_s[i];
  }
  mean_s /= norm;
  const double step_s = offsets_s.size() > 1 ? offsets_s[1] - offsets_s[0] : 0;
  const double variance_s2 = square_s2 / norm - mean_s * mean_s;
  const auto at = static_cast<std::size_t>(best - likelihood.begin());
  if (variance_s2 > step_s * step_s || at == 0 || at + 1 == offsets_s.size()) {
    return {mean_s, std::sqrt(std::max(variance_s2, step_s * step_s / 12))};
  }
  // Sharper than the search's steps: the vertex of the parabola.
  const double below = likelihood[at - 1];
  const double above = likelihood[at + 1];
  const double curvature = std::max(2 * *best - below - above, 1e-9);
  const double shift = std::clamp(0.5 * (above - below) / curvature, -0.5, 0.5);
  return {offsets_s[at] + shift * step_s, step_s / std::sqrt(curvature)};
}

BlockClock::BlockClock(const Stack& stack,
                       const SupplyLog& log,
                       const Plate& plate,
                       const HeatOptions& options)
    : log_(log),
      options_(options),
      sources_(MakeSourceCourses(plate)),
      few_(EveryNth(sources_, kFewOfKinds)),
      smooth_(stack, Smoother(options)),
      usual_(stack, options),
      columns_(stack.size_px().width / kBlock),
      blocks_(BlockCourses(stack, usual_)) {
  usual_.ProjectColumns(blocks_);
  Silence(stack.out_of_range, blocks_);
  cornered_ = blocks_;
  smooth_.ProjectColumns(cornered_);
  tremble_ = TrembleEnergy(stack, smooth_.num_bins() - smooth_.num_nuisances());
  whole_ = cornered_.colwise().squaredNorm().transpose().array() + tremble_;
  const std::array<double, 2> steps_s = StepTimes(log);
  first_frame_s_ = stack.frame_times_s.front().front();
  last_frame_s_ = stack.frame_times_s.back().back();
  first_s_ = first_frame_s_ + kStepMarginS - steps_s[0];
  last_s_ = last_frame_s_ - kStepMarginS - steps_s[1];
}

double BlockClock::LogPrior(double offset_s) const {
  return ClockLogPrior(offset_s) + StepsLogPrior(log_, first_frame_s_, last_frame_s_, offset_s);
}

double BlockClock::FindMiddle() const {
  const double stride_s = kFarStride * options_.clock_step_s;
  const Eigen::ArrayXf rest = whole_ - tremble_;
  std::vector<float> usual(rest.data(), rest.data() + rest.size());
  const Eigen::ArrayXf busy = MarkLargest(rest / (tremble_ + MedianOf(usual)), kBusiestBlocks);
  const PixelRows blocks = Select(cornered_, busy);
  const Eigen::ArrayXf energy = Select(whole_.transpose().matrix(), busy).transpose().array();
  double usual_best = 0;
  double far_best = 0;
  double far_s = 0;
  const double range_s = options_.clock_range_s;
  const auto first = static_cast<int>(std::floor(std::min(first_s_, -range_s) / stride_s));
  for (int i = first; i * stride_s <= std::max(last_s_, range_s); ++i) {
    const double offset_s = i * stride_s;
    const bool far = std::abs(offset_s) > range_s;
    if (far && (offset_s < first_s_ || offset_s > last_s_)) continue;
    const Eigen::ArrayXf gains =
        BlockGains(blocks, energy, smooth_, few_, log_, offset_s) - kQuietGain;
    const double value = Vote(gains.max(0.0F)) +
                         (far ? ClockLogPrior(offset_s)
                              : StepsLogPrior(log_, first_frame_s_, last_frame_s_, offset_s));
    if (!far) {
      usual_best = std::max(usual_best, value);
    } else if (value > far_best) {
      far_best = value;
      far_s = offset_s;
    }
  }
  return far_best > kFarMustWinBy * usual_best ? far_s : 0;
}

// Once more with the blocks that voted, which have heat with corners in them,
// and the usual freedom of drift, which keeps far more of their heat.
ClockOffset BlockClock::Refine(const std::vector<double>& open_s,
                               const Eigen::ArrayXf& voted) const {
  const PixelRows voters = Select(blocks_, voted);
  const Eigen::ArrayXf energy = voters.colwise().squaredNorm().transpose().array() +
                                Select(tremble_.transpose().matrix(), voted).transpose().array();
  std::vector<Eigen::Index> block;
  for (Eigen::Index i = 0; i < voted.size(); ++i) {
    if (voted(i) > 0) block.push_back(i);
  }
  Eigen::MatrixXf gains(voters.cols(), static_cast<Eigen::Index>(open_s.size()));
  std::vector<double> likelihood(open_s.size());
  internal::InParallel(static_cast<int>(open_s.size()), [&](int column) {
    const auto i = static_cast<std::size_t>(column);
    gains.col(column) = BlockGains(voters, energy, usual_, sources_, log_, open_s[i]).matrix();
    likelihood[i] = Vote(gains.col(column).array()) + LogPrior(open_s[i]);
  });
  ClockOffset fit = SummariseClock(open_s, likelihood);
  fit.sigma_s = std::hypot(fit.sigma_s, SpreadOfGroups(open_s, gains, block));
  return fit;
}

// How far regions of the picture disagree about the offset: what no kind of
// source describes (halos on patchy copper) does not average out with blocks.
double BlockClock::SpreadOfGroups(const std::vector<double>& offsets_s,
                                  const Eigen::MatrixXf& gains,
                                  const std::vector<Eigen::Index>& block) const {
  const auto rows = static_cast<int>(blocks_.cols()) / columns_;
  std::array<Eigen::VectorXf, kGroupColumns * kGroupRows> sums;
  for (std::size_t i = 0; i < block.size(); ++i) {
    const auto x = static_cast<int>(block[i]) % columns_ * kGroupColumns / columns_;
    const auto y = static_cast<int>(block[i]) / columns_ * kGroupRows / rows;
    Eigen::VectorXf& sum = sums[static_cast<std::size_t>(y * kGroupColumns + x)];
    const Eigen::VectorXf own = gains.row(static_cast<Eigen::Index>(i)).transpose();
    sum = sum.size() == 0 ? own : Eigen::VectorXf(sum + own);
  }
  double norm = 0;
  double mean_s = 0;
  double square_s2 = 0;
  double squares = 0;
  for (const Eigen::VectorXf& sum : sums) {
    if (sum.size() == 0) continue;
    Eigen::Index at = 0;
    const double height = static_cast<double>(sum.maxCoeff(&at) - sum.minCoeff());
    const double offset_s = offsets_s[static_cast<std::size_t>(at)];
    norm += height;
    squares += height * height;
    mean_s += height * offset_s;
    square_s2 += height * offset_s * offset_s;
  }
  if (norm <= 0) return 0;
  mean_s /= norm;
  const double variance_s2 = std::max(0.0, square_s2 / norm - mean_s * mean_s);
  const double independent = norm * norm / squares;
  // One group alone tells no spread; few tell it poorly.
  return independent > 1.2 ? std::sqrt(variance_s2 / (independent - 1)) : 0;
}

// Some offsets with all blocks; between two of these only blocks that gain something at either
// can have a vote.
std::vector<double> BlockClock::AllVotes(const std::vector<double>& offsets_s, int sparse) const {
  const auto last = static_cast<int>(offsets_s.size()) - 1;
  const int num_parts = (last + sparse - 1) / sparse;
  const auto at = [&](int part) { return static_cast<std::size_t>(std::min(sparse * part, last)); };
  std::vector<double> likelihood(offsets_s.size());
  const auto vote = [&](const Eigen::ArrayXf& gains, std::size_t i) {
    likelihood[i] = Vote((gains - kQuietGain).max(0.0F)) + LogPrior(offsets_s[i]);
  };
  const PixelRows all = cornered_;
  Eigen::ArrayXXf gains(all.cols(), num_parts + 1);
  internal::InParallel(num_parts + 1, [&](int part) {
    gains.col(part) = BlockGains(all, whole_, smooth_, few_, log_, offsets_s[at(part)]);
    vote(gains.col(part), at(part));
  });
  internal::InParallel(num_parts, [&](int part) {
    const Eigen::ArrayXf open =
        (gains.col(part).max(gains.col(part + 1)) > kOpenGain).cast<float>();
    const PixelRows blocks = Select(cornered_, open);
    const Eigen::ArrayXf whole = Select(whole_.transpose().matrix(), open).transpose().array();
    for (std::size_t i = at(part) + 1; i < at(part + 1); ++i) {
      vote(BlockGains(blocks, whole, smooth_, few_, log_, offsets_s[i]), i);
    }
  });
  return likelihood;
}

ClockOffset BlockClock::FindAround(double middle_s, int sparse) const {
  // First round: every second offset, which is enough to find the hill.
  const double stride_s = 2 * options_.clock_step_s;
  const int half = static_cast<int>(std::lround(options_.clock_range_s / stride_s));
  std::vector<double> offsets_s;
  for (int i = -half; i <= half; ++i) offsets_s.push_back(middle_s + i * stride_s);
  const std::vector<double> likelihood = AllVotes(offsets_s, sparse);
  const auto best = std::max_element(likelihood.begin(), likelihood.end());
  const auto at = static_cast<std::size_t>(best - likelihood.begin());
  // At the end of the search the hill's top was not reached.
  if (half > 0 && (at == 0 || at + 1 == offsets_s.size())) {
    return {offsets_s[at], options_.clock_range_s};
  }
  const Eigen::ArrayXf voted =
      BlockGains(cornered_, whole_, smooth_, sources_, log_, offsets_s[at]) - kQuietGain;
  if (half == 0 || (voted > 0).count() < kFewestVoters)
    return SummariseClock(offsets_s, likelihood);
  std::vector<double> open_s;
  for (std::size_t i = 0; i < offsets_s.size(); ++i) {
    if (likelihood[i] < *best - kOpenLogRatio - 0.1 * std::abs(*best)) continue;
    open_s.push_back(offsets_s[i]);
    open_s.push_back(offsets_s[i] + options_.clock_step_s);
  }
  return Refine(open_s, voted);
}

}  // namespace ohmglow
