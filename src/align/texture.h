// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <limits>
#include <opencv2/core.hpp>
#include <vector>

#include "align/motion.h"
#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Outcome of fitting one frame.
struct MotionFit {
  Motion frame_from_reference = Motion::eye();
  double correlation = 0;  ///< Of frame and model over the texture, -1 .. 1.
  double agreement = 0;    ///< The same of the better blocks, where heat spoils the others.
  double contrast = 0;     ///< Of the frame against the model there; blur lowers it.
  double sigma_k = 0;      ///< Robust standard deviation of the residuals [K].
  /// Of a MotionVector, 0 beyond the model's parameters: Cramer-Rao at sigma_k.
  MotionMatrix covariance_px2;
  /// The same from how much the blocks of the picture disagree (sandwich),
  /// which sees all that is wrong in a place, not only white noise.
  MotionMatrix block_covariance_px2;
};

/// Residuals of a part of the picture to second order: how the robustly
/// weighted squares change with a small motion d, as d' information d - 2 d'
/// score.
struct Quadratic {
  MotionVector score;
  MotionMatrix information;
};

/// The places of a model image that tell motion apart, with what one
/// Gauss-Newton step needs there. An offset of a whole column or row of the
/// frame, the sensor's, has no say: it is a nuisance parameter, eliminated.
class Texture {
 public:
  /// @param model_k  band-passed scene in reference coordinates [K].
  /// @param weight   0 .. 1, share of a residual's inverse variance; 0
  /// excludes.
  /// @param max_points  how many of the steepest places are used.
  /// @param model  what is fitted; parameters beyond keep what the start has.
  Texture(const Image& model_k, const Image& weight, int max_points, MotionModel model);

  [[nodiscard]] cv::Size size_px() const { return size_px_; }
  /// Standard error of a fit, rms over the frame, for white noise [px];
  /// infinite where the texture does not fix the motion.
  [[nodiscard]] double BoundPx(double noise_k) const;

  /// Gauss-Newton on the robustly weighted (Tukey) squared residuals
  /// frame(map(p)) - model(p), inverse compositional: derivatives are those of
  /// the model, whose noise is far below one frame's and unrelated to it.
  /// @param frame_k  band-passed, of the model's size.
  /// @param uncertainty_px  how far off the start may be: what that explains
  ///     at a steep place is no outlier. Shrinks from step to step to 0.1 px.
  /// Source: Baker, Matthews, IJCV 56 (2004) 221-255; the weights' constant
  /// 4.685: 95 % efficiency for normal residuals (Holland, Welsch 1977); the
  /// sandwich: White, Econometrica 48 (1980) 817-838.
  [[nodiscard]] MotionFit Fit(const Image& frame_k,
                              const Motion& start,
                              int iterations,
                              double uncertainty_px = 0.25) const;

  /// The residuals of two halves of the picture, parted like a chessboard, at
  /// a motion near the best, over all eight parameters, in units of the
  /// residuals' variance.
  [[nodiscard]] std::array<Quadratic, 2> Halves(const Image& frame_k, const Motion& motion) const;

 private:
  using Sums = std::array<double, kMostParameters>;
  struct Pass;  // What one look at a frame's residuals tells.

  void Add(float x, float y, float value_k, float dx, float dy, float weight);
  void PadBlock();
  void Project();
  void Invert();
  [[nodiscard]] bool Look(const Image& frame_k, const Motion& motion, Pass& pass) const;
  template <int kParameters>
  void Weigh(double uncertainty_px, Pass& pass) const;
  [[nodiscard]] MotionMatrix BlockCovariance(const Pass& pass) const;

  cv::Size size_px_;
  int parameters_;
  // One entry a place, from the frame's centre, block after block, each block
  // filled up to fours by places of weight 0.
  std::vector<float> x_, y_, value_k_, weight_, steepness_;
  // By each parameter, without what is the same along a column or a row [K/px].
  std::array<std::vector<float>, kMostParameters> slope_;
  std::vector<std::size_t> block_end_;
  double total_weight_ = 0;
  float clip_k_ = 0;          // Beyond it a value counts no more for the correlation.
  MotionMatrix information_;  // Sum of weight J J^T [K^2/px^2]; 0 beyond parameters_.
  MotionMatrix inverse_;
  bool fixes_motion_ = false;
};

}  // namespace ohmglow::internal
