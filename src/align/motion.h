// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Order of the motion's parameters where they stand in a vector or matrix:
/// shift x, shift y, rotation, scale, the last two as displacement at the
/// frame's rms radius, so that all are pixels and the squared displacement
/// averaged over the frame is the trace of their covariance.
using MotionVector = cv::Vec4d;

/// Root mean square distance of the frame's pixels from its centre [px].
[[nodiscard]] double RmsRadius(cv::Size size_px);
[[nodiscard]] MotionVector ToVector(const Similarity& motion, cv::Size size_px);
[[nodiscard]] Similarity ToSimilarity(const MotionVector& v, cv::Size size_px);

/// Outcome of fitting one frame.
struct MotionFit {
  Similarity frame_from_reference;
  double correlation = 0;  ///< Of frame and model over the texture, -1 .. 1.
  double sigma_k = 0;      ///< Robust standard deviation of the residuals [K].
  cv::Matx44d covariance_px2 = cv::Matx44d::eye();  ///< Of a MotionVector; Cramer-Rao at sigma_k.
};

/// The places of a model image that tell motion apart, with what one
/// Gauss-Newton step needs there.
class Texture {
 public:
  /// @param model_k  high-passed scene in reference coordinates [K].
  /// @param weight   0 .. 1, share of a residual's inverse variance; 0 excludes.
  /// @param max_points  how many of the steepest places are used.
  Texture(const Image& model_k, const Image& weight, int max_points);

  [[nodiscard]] cv::Size size_px() const { return size_px_; }
  /// Standard error of a fit, rms over the frame, for white noise [px];
  /// infinite where the texture does not fix the motion.
  [[nodiscard]] double BoundPx(double noise_k) const;

  /// Gauss-Newton on the robustly weighted (Tukey) squared residuals
  /// frame(map(p)) - model(p), inverse compositional: derivatives are those of
  /// the model, whose noise is far below one frame's and unrelated to it.
  /// @param frame_k  high-passed, of the model's size.
  /// @param uncertainty_px  how far off the start may be: what that explains
  ///     at a steep place is no outlier. Shrinks from step to step to 0.1 px.
  /// Source: Baker, Matthews, IJCV 56 (2004) 221-255; the weights' constant
  /// 4.685: 95 % efficiency for normal residuals (Holland, Welsch 1977).
  [[nodiscard]] MotionFit Fit(const Image& frame_k,
                              const Similarity& start,
                              int iterations,
                              double uncertainty_px = 0.25) const;

 private:
  struct Place {
    float x, y;  // From the frame's centre.
    float value_k;
    float dx, dy;  // Gradient [K/px].
    float weight;
  };

  cv::Size size_px_;
  double radius_px_ = 1;
  std::vector<Place> places_;
  cv::Matx44d information_;  // Sum of weight J J^T [K^2/px^2].
};

}  // namespace ohmglow::internal
