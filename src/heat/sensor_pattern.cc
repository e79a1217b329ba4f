// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "heat/stack.h"

namespace ohmglow {
namespace {

using Rows = Eigen::Matrix<float, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// Below this spread of the motion the pattern stays put and is part of the
// static scene.
constexpr double kLeastMotionPx = 0.05;
// A pose per bin is enough while the motion inside the bin is below this.
constexpr double kSteadyBinPx = 0.1;

double Spread(const Similarity& a, const Similarity& b, cv::Size size) {
  const double turn_px =
      std::abs(a.rotation_deg - b.rotation_deg) * std::numbers::pi / 180 * 0.5 * size.width;
  const double zoom_px = std::abs(a.scale - b.scale) * 0.5 * size.width;
  return std::hypot(a.dx_px - b.dx_px, a.dy_px - b.dy_px) + turn_px + zoom_px;
}

// The normal equations of the pattern after the scene has been eliminated.
class PatternSystem {
 public:
  PatternSystem(const Stack& stack, const HeatOptions& options)
      : stack_(stack), size_(stack.size_px()), ridge_(static_cast<float>(options.pattern_ridge)) {
    for (const std::vector<Similarity>& poses : stack.poses) {
      const bool steady = Spread(poses.front(), poses.back(), size_) < kSteadyBinPx;
      std::vector<cv::Mat> forward;
      std::vector<cv::Mat> back;
      for (std::size_t i = steady ? poses.size() / 2 : 0; i < poses.size(); ++i) {
        forward.emplace_back(poses[i].Matrix(size_));
        back.emplace_back(poses[i].Inverse().Matrix(size_));
        if (steady) break;
      }
      forward_.push_back(std::move(forward));
      back_.push_back(std::move(back));
    }
    BuildScene(options.pattern_modes);
  }

  // W_b pattern: what the pattern looks like in a bin of the reference view.
  [[nodiscard]] Image InBin(const Image& pattern, int bin) const {
    return Warp(pattern, forward_[static_cast<std::size_t>(bin)], cv::BORDER_REPLICATE);
  }

  // Sum_b W_b^T n_b (I - scene) bins, per frame.
  [[nodiscard]] Image Adjoint(const std::vector<Image>& bins) const {
    const int num_bins = stack_.size();
    Rows z(num_bins, static_cast<Eigen::Index>(size_.area()));
    for (int b = 0; b < num_bins; ++b) {
      const Eigen::Map<const Eigen::RowVectorXf> row(bins[static_cast<std::size_t>(b)].ptr<float>(),
                                                     size_.area());
      z.row(b) = weight_(b) * row;
    }
    z -= scene_ * (scene_.transpose() * z).eval();
    Image sum(size_, 0.0F);
    Image own(size_);
    for (int b = 0; b < num_bins; ++b) {
      Eigen::Map<Eigen::RowVectorXf>(own.ptr<float>(), size_.area()) = weight_(b) * z.row(b);
      own.setTo(0, stack_.seen == 0);
      sum += Warp(own, back_[static_cast<std::size_t>(b)], cv::BORDER_CONSTANT);
    }
    return Image(sum * (1.0 / total_frames_));
  }

  [[nodiscard]] Image Apply(const Image& pattern) const {
    std::vector<Image> bins;
    bins.reserve(static_cast<std::size_t>(stack_.size()));
    for (int b = 0; b < stack_.size(); ++b) bins.push_back(InBin(pattern, b));
    return Image(Adjoint(bins) + ridge_ * pattern);
  }

 private:
  [[nodiscard]] Image Warp(const Image& from, const std::vector<cv::Mat>& maps, int border) const {
    Image sum;
    for (const cv::Mat& map : maps) {
      Image one;
      cv::warpAffine(from, one, map, size_, cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, border);
      if (sum.empty()) {
        sum = one;
      } else {
        sum += one;
      }
    }
    if (maps.size() > 1) sum *= 1.0 / static_cast<double>(maps.size());
    return sum;
  }

  // Orthonormal weighted basis of the scene's course in time: slow cosines
  // and an offset per shutter segment.
  void BuildScene(int num_cosines) {
    const int num_bins = stack_.size();
    const int num_segments = stack_.segment.back() - stack_.segment.front() + 1;
    Eigen::MatrixXd basis(num_bins, num_cosines + num_segments - 1);
    weight_.resize(num_bins);
    const double first_s = stack_.time_s.front();
    const double span_s = std::max(stack_.time_s.back() - first_s, 1e-9);
    for (int b = 0; b < num_bins; ++b) {
      const auto i = static_cast<std::size_t>(b);
      const double w = std::sqrt(stack_.num_frames[i]);
      weight_(b) = static_cast<float>(w);
      total_frames_ += stack_.num_frames[i];
      const double phase = std::numbers::pi * (stack_.time_s[i] - first_s) / span_s;
      for (int j = 0; j < num_cosines; ++j) basis(b, j) = w * std::cos(j * phase);
      for (int s = 1; s < num_segments; ++s) {
        basis(b, num_cosines + s - 1) = stack_.segment[i] - stack_.segment.front() == s ? w : 0.0;
      }
    }
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(basis, Eigen::ComputeThinU);
    const auto rank = (svd.singularValues().array() > 1e-6 * svd.singularValues()(0)).count();
    scene_ = svd.matrixU().leftCols(rank).cast<float>();
  }

  const Stack& stack_;
  cv::Size size_;
  float ridge_;
  double total_frames_ = 0;
  Eigen::VectorXf weight_;
  Eigen::MatrixXf scene_;
  std::vector<std::vector<cv::Mat>> forward_;
  std::vector<std::vector<cv::Mat>> back_;
};

bool Moves(const Stack& stack) {
  for (const std::vector<Similarity>& poses : stack.poses) {
    if (Spread(poses.front(), stack.poses.front().front(), stack.size_px()) > kLeastMotionPx) {
      return true;
    }
  }
  return false;
}

}  // namespace

Image RemoveSensorPattern(Stack& stack, const HeatOptions& options) {
  const cv::Size size = stack.size_px();
  Image pattern(size, 0.0F);
  if (!Moves(stack) || stack.size() < 8) return pattern;
  const PatternSystem system(stack, options);
  std::vector<Image> centred;
  for (const Image& bin : stack.bins_k) centred.emplace_back(bin - cv::mean(bin)[0]);
  Image residual = system.Adjoint(centred);
  Image direction = residual.clone();
  double energy = residual.dot(residual);
  const double enough = 1e-8 * energy;
  for (int i = 0; i < options.pattern_iterations && energy > enough; ++i) {
    const Image product = system.Apply(direction);
    const double step = energy / direction.dot(product);
    if (!(step > 0)) break;  // the warps are not exact adjoints: stop where that shows
    pattern += step * direction;
    residual -= step * product;
    const double next = residual.dot(residual);
    direction = Image(residual + (next / energy) * direction);
    energy = next;
  }
  for (int b = 0; b < stack.size(); ++b) {
    stack.bins_k[static_cast<std::size_t>(b)] -= system.InBin(pattern, b);
  }
  return pattern;
}

}  // namespace ohmglow
