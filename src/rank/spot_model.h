// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/plate.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// What is given of the board; unset members are fitted or derived.
struct PlatePrior {
  Plate plate;               ///< Film, capacity and thickness are taken as they are.
  bool sheet_known = false;  ///< `plate.sheet_conductance_w_k` was given.
  double blur_px = 0.7;      ///< Standard deviation of the camera's blur.
};

struct SpotFit {
  double power_w = 0;          ///< At the highest current; likelihood-weighted over the models.
  double power_log_sigma = 0;  ///< Spread of log(power) over the models that fit.
  double sheet_conductance_w_k = 0;
  double source_mm = 0;   ///< Standard deviation of the source's size.
  double part_lag_s = 0;  ///< Lag of the part between source and surface.
  double explained = 0;   ///< Share of the spot's energy that the best model explains.
  /// Log likelihoods of the two sides, the better of them 0, tempered by the misfit.
  double near_log_likelihood = -1e3;
  double far_log_likelihood = -1e3;
};

/// Space-time fit of a round spot: mean courses of rings around a place
/// against a source on or in the board,
///   T(k) = P exp(-k^2 s^2/2) lag_tau * sum_n g_n (lag of rate lambda_n(k))/(C lambda_n),
/// inverse Hankel transform over k. Mode 0 of the slab is the thin plate; the
/// higher modes carry the heat that has not yet crossed the thickness: g_n =
/// 2 beta near (beta 0 .. 1: copper layers under the surface spread it early)
/// and 2 (-1)^n far. Source: Carslaw, Jaeger 1959, 10.4 and 3.4 (slab modes).
///
/// All of it happens in the span of the lags' projected responses, a handful
/// of dimensions.
class SpotModel {
 public:
  /// @param exponent  power ~ current^exponent.
  SpotModel(const TemporalModel& model,
            const Drive& drive,
            const PlatePrior& prior,
            double exponent);

  /// @param courses  bins x pixels of `Response`.  @param noise_k  of one pixel in one frame.
  /// @param mm_per_pixel  scale at the place.
  /// @return         power 0 where nothing positive fits.
  [[nodiscard]] SpotFit Fit(const Eigen::MatrixXf& courses,
                            const Mask& seen,
                            Point center_px,
                            double mm_per_pixel,
                            double noise_k) const;

  /// Norm of the projected course that one watt in a small part on the near
  /// side makes in the Gaussian mean (`sigma_px`) around it [K/W].
  [[nodiscard]] double StrengthPerWatt(double mm_per_pixel, double sigma_px) const;

 private:
  struct Rings {
    Eigen::MatrixXd mean;  // modes x rings, K
    Eigen::VectorXd radius_m;
    Eigen::VectorXd num_pixels;
  };
  [[nodiscard]] Rings MeasureRings(const Eigen::MatrixXf& courses,
                                   const Mask& seen,
                                   Point center_px,
                                   double mm_per_pixel) const;
  [[nodiscard]] Eigen::VectorXd LagModes(double tau_s) const;
  [[nodiscard]] Eigen::VectorXd CascadeModes(double tau_s, double part_lag_s) const;
  void BuildKernels();

  // Response per watt of one plate and part lag: modes x frequencies.
  struct Kernel {
    double sheet_conductance_w_k;
    double part_lag_s;
    Eigen::MatrixXd thin;     // mode 0
    Eigen::MatrixXd through;  // sum of 2 x modes 1..
    Eigen::MatrixXd far;      // sum of 2 (-1)^n x modes 1..
  };

  PlatePrior prior_;
  Eigen::MatrixXd basis_;      // bins x modes, orthonormal
  Eigen::VectorXd log_tau_;    // table of lags
  Eigen::MatrixXd lag_modes_;  // modes x table
  Eigen::VectorXd k_rad_m_;
  Eigen::VectorXd k_weight_;  // k dk / (2 pi)
  std::vector<Kernel> kernels_;
};

}  // namespace ohmglow
