// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow {
namespace {

// Smooth courses (a reflection that wanders, a hand that came near) would pull
// the offset: only what has corners may vote.
constexpr int kSmoothDegree = 7;
// Neighbouring blocks share blur, heat and motion: this many count as one.
constexpr double kBlocksPerIndependent = 4;
// Gain in log likelihood that a block without heat reaches now and then.
constexpr double kQuietGain = 8;
constexpr int kBlock = 3;
// Edges of the static picture tremble with every registration error of about
// this size: their blocks must not vote.
constexpr double kTremblePx = 0.1;
// The first round leaves open what is this much less likely than its best.
constexpr double kOpenLogRatio = 12;
constexpr int kFewestVoters = 4;
// Spread of the difference of two clocks set by hand.
constexpr double kPriorSigmaS = 4;

// Courses of blocks of pixels, one a column.
Eigen::MatrixXf BlockCourses(const Eigen::MatrixXf& courses, cv::Size size) {
  const int columns = size.width / kBlock;
  const int rows = size.height / kBlock;
  Eigen::MatrixXf blocks = Eigen::MatrixXf::Zero(courses.rows(), columns * rows);
  for (int y = 0; y < rows * kBlock; ++y) {
    for (int x = 0; x < columns * kBlock; ++x) {
      blocks.col(y / kBlock * columns + x / kBlock) += courses.col(y * size.width + x);
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
Eigen::ArrayXf BlockGains(const Eigen::MatrixXf& blocks,
                          const Eigen::ArrayXf& whole,
                          const TemporalModel& model,
                          const SourceCourses& sources,
                          const SupplyLog& log,
                          double offset_s) {
  const Drive drive(log, offset_s);
  Eigen::MatrixXd lags(model.num_bins(), sources.lags_s.size());
  for (Eigen::Index i = 0; i < sources.lags_s.size(); ++i) {
    lags.col(i) = model.ProjectedLag(drive, sources.lags_s(i), 2);
  }
  const Eigen::MatrixXd courses = lags * sources.mixture;
  // Where the offset moves every step out of the capture, the courses are zero.
  const Eigen::RowVectorXd norms = courses.colwise().norm().cwiseMax(1e-12);
  const Eigen::MatrixXf kinds = (courses.array().rowwise() / norms.array()).matrix().cast<float>();
  // One kind of source, and only heating: free mixtures of lags would mimic an offset.
  const Eigen::ArrayXf match =
      (kinds.transpose() * blocks).colwise().maxCoeff().transpose().array().max(0.0F);
  const Eigen::ArrayXf share = (match.square() / whole.max(1e-12F)).min(0.9999F);
  const auto degrees = static_cast<float>(model.num_bins() - model.num_nuisances());
  return -0.5F * degrees * (1 - share).log();
}

// The columns whose entry in `keep` is positive.
Eigen::MatrixXf Select(const Eigen::MatrixXf& columns, const Eigen::ArrayXf& keep) {
  Eigen::MatrixXf out(columns.rows(), (keep > 0).count());
  Eigen::Index n = 0;
  for (Eigen::Index i = 0; i < keep.size(); ++i) {
    if (keep(i) > 0) out.col(n++) = columns.col(i);
  }
  return out;
}

// Mean and spread of the offset under a likelihood, which may have a flat top.
ClockFit Summarise(const std::vector<double>& offsets_s, const std::vector<double>& likelihood) {
  const double best = *std::max_element(likelihood.begin(), likelihood.end());
  double norm = 0;
  double mean_s = 0;
  double square_s2 = 0;
  for (std::size_t i = 0; i < offsets_s.size(); ++i) {
    const double weight = std::exp(likelihood[i] - best);
    norm += weight;
    mean_s += weight * offsets_s[i];
    square_s2 += weight * offsets_s[i] * offsets_s[i];
  }
  mean_s /= norm;
  const double step_s = offsets_s.size() > 1 ? offsets_s[1] - offsets_s[0] : 0;
  return {mean_s, std::sqrt(std::max(square_s2 / norm - mean_s * mean_s, step_s * step_s / 12))};
}

}  // namespace

ClockFit EstimateClock(const Eigen::MatrixXf& courses,
                       const Stack& stack,
                       const SupplyLog& log,
                       const Plate& plate,
                       const HeatOptions& options) {
  const SourceCourses sources = MakeSourceCourses(plate);
  HeatOptions smoother = options;
  smoother.drift_order = kSmoothDegree;
  const TemporalModel smooth(stack, smoother);
  const TemporalModel usual(stack, options);
  Eigen::MatrixXf blocks = BlockCourses(courses, stack.size_px());
  Silence(stack.out_of_range, blocks);
  Eigen::MatrixXf cornered = blocks;
  smooth.ProjectColumns(cornered);
  const double degrees = smooth.num_bins() - smooth.num_nuisances();
  const Eigen::ArrayXf tremble = TrembleEnergy(stack, degrees);
  const Eigen::ArrayXf whole = cornered.colwise().squaredNorm().transpose().array() + tremble;

  // First round: every second offset, which is enough to find the hill.
  std::vector<double> offsets_s;
  std::vector<double> likelihood;
  const double stride_s = 2 * options.clock_step_s;
  const int half = static_cast<int>(std::lround(options.clock_range_s / stride_s));
  for (int i = -half; i <= half; ++i) {
    const double offset_s = i * stride_s;
    const Eigen::ArrayXf gains =
        BlockGains(cornered, whole, smooth, sources, log, offset_s) - kQuietGain;
    offsets_s.push_back(offset_s);
    likelihood.push_back(static_cast<double>(gains.max(0.0F).sum()) / kBlocksPerIndependent -
                         0.5 * std::pow(offset_s / kPriorSigmaS, 2));
  }
  const auto best = std::max_element(likelihood.begin(), likelihood.end());
  const auto at = static_cast<std::size_t>(best - likelihood.begin());
  // The blocks that voted have heat with corners in them. Once more with these
  // alone and the usual freedom of drift, which keeps far more of their heat.
  const Eigen::ArrayXf voted =
      BlockGains(cornered, whole, smooth, sources, log, offsets_s[at]) - kQuietGain;
  if (half == 0 || (voted > 0).count() < kFewestVoters) return Summarise(offsets_s, likelihood);
  const Eigen::MatrixXf voters = Select(blocks, voted);
  const Eigen::ArrayXf energy = voters.colwise().squaredNorm().transpose().array() +
                                Select(tremble.transpose().matrix(), voted).transpose().array();
  std::vector<double> fine_s;
  std::vector<double> refined;
  for (std::size_t i = 0; i < offsets_s.size(); ++i) {
    if (likelihood[i] < *best - kOpenLogRatio - 0.1 * std::abs(*best)) continue;
    for (const double offset_s : {offsets_s[i], offsets_s[i] + options.clock_step_s}) {
      const Eigen::ArrayXf gains = BlockGains(voters, energy, usual, sources, log, offset_s);
      fine_s.push_back(offset_s);
      refined.push_back(static_cast<double>(gains.sum()) / kBlocksPerIndependent);
    }
  }
  return Summarise(fine_s, refined);
}

}  // namespace ohmglow
