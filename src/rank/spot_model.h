// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <optional>
#include <vector>

#include "heat/drive.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/result.h"
#include "rank/heat_form.h"
#include "rank/line_fit.h"
#include "rank/spot_kernels.h"

namespace ohmglow {

struct SpotFit {
  double power_w = 0;              ///< At the highest current, from the shape in space and time.
  double power_log_sigma = 9;      ///< Standard error of log(power).
  double near_power_w = 0;         ///< The same if the source is on the near side; 0: no such fit.
  double far_power_w = 0;          ///< ... on the far side.
  double misfit = 0;               ///< What the best model leaves over, of the whole norm.
  Estimate sheet_conductance_w_k;  ///< Over all models.
  double source_mm = 0;            ///< Standard deviation of the source's size.
  double part_lag_s = 0;           ///< Lag of the part between source and surface.
  HeatForm form;                   ///< Width and quickness, as seen.
  /// Best model's rise over the radius, for taking the spot out: modes x radii.
  Eigen::MatrixXd profile_k;
  HeatLine line;  ///< The same heat along a line.
  /// Log likelihoods of the two sides, the better of them 0, tempered by the misfit.
  double near_log_likelihood = -1e3;
  double far_log_likelihood = -1e3;
};

/// Space-time fit of a round spot: mean courses of rings around a place
/// against a source on or in the board,
///   T(k) = P exp(-k^2 s^2/2) lag_tau * sum_n g_n (lag of rate lambda_n(k))/(C lambda_n),
/// inverse Hankel transform over k. Mode 0 of the slab is the thin plate; the
/// higher modes carry the heat that has not yet crossed the thickness: g_n =
/// 2 beta near (beta 0 .. 1: copper layers under the surface spread it early;
/// where the face is bare, along the board as in laminate) and 2 (-1)^n far. Source: Carslaw,
/// Jaeger 1959, 10.4 and 3.4 (slab modes).
///
/// All of it happens in the span of the lags' projected responses, a handful
/// of dimensions.
class SpotModel {
 public:
  SpotModel(const TemporalModel& model, const Drive& drive, const PlatePrior& prior);

  /// Courses in the span that the models live in: modes x pixels.
  [[nodiscard]] Eigen::MatrixXf ToModes(const Eigen::MatrixXf& courses) const;

  /// What power that follows the current's square makes through one lag, in the same span.
  [[nodiscard]] Eigen::VectorXd Course(double lag_s) const { return ohmic_.LagModes(lag_s); }

  struct View {
    double mm_per_pixel;  ///< Scale at the place.
    double reach_mm;      ///< Radius of the outermost ring.
    double noise_k;       ///< Of one pixel in one frame.
    bool junction;        ///< Power follows the current rather than its square.
    /// Rings within this count for nothing: the top of a body that stands on
    /// the board and keeps heat back. 0: all count.
    double body_mm = 0;
  };

  /// @param modes  from `ToModes`, other spots taken out.
  /// @return         power 0 where nothing positive fits.
  [[nodiscard]] SpotFit Fit(const Eigen::MatrixXf& modes,
                            const Mask& seen,
                            Point center_px,
                            const View& view) const;

  /// Radii at which profiles are kept lie so far apart.
  static constexpr double kProfileStepMm = 0.4;

  /// What a watt makes at the face that is filmed, in a point and at once, on each board that
  /// may be the true one: modes x radii.
  [[nodiscard]] std::vector<Eigen::MatrixXd> PointProfiles(const View& view) const;

  /// The board as the heat of a fitted spot shows it: kappa, C and H together,
  /// from the same rings, with the part's lag of the best model.
  [[nodiscard]] std::optional<PlateFit> FitPlate(const Eigen::MatrixXf& modes,
                                                 const Mask& seen,
                                                 Point center_px,
                                                 const View& view,
                                                 const SpotFit& fit) const;

  /// Adds `sign` times a fitted spot, or the line that it rather is, to the pixels around it.
  void AddSpot(const SpotFit& fit,
               Point center_px,
               double mm_per_pixel,
               double sign,
               cv::Size size_px,
               Eigen::MatrixXf& modes) const;

 private:
  static void AddPoint(const Eigen::MatrixXd& profile_k,
                       Point center_px,
                       double mm_per_pixel,
                       cv::Size size_px,
                       Eigen::MatrixXf& modes);
  struct Rings {
    Eigen::MatrixXd mean;  // modes x rings, K
    Eigen::VectorXd radius_m;
    Eigen::VectorXd num_pixels;
    Eigen::MatrixXd bessel;  // frequencies x rings
  };
  [[nodiscard]] static Rings ProfileRings(const Eigen::VectorXd& k_rad_m);
  // One model: plate, part lag, source size and depth.
  struct Trial {
    double power_w;
    double chi2;
    double near_share;  // of the slab's higher modes, or the mark of the far side
    bool bare;          // these spread as in laminate
    std::size_t kernel;
    double source_mm;
  };
  [[nodiscard]] double LogPrior(const Kernel& kernel, const View& view) const;
  void Weigh(const std::vector<Trial>& trials,
             const Trial& best,
             double num_data,
             const std::vector<Kernel>& kernels,
             const View& view,
             SpotFit& fit) const;
  [[nodiscard]] static const Trial& BestOf(const std::vector<Trial>& trials);
  [[nodiscard]] static double NoiseOf(const Trial& best, double num_data, const View& view);
  [[nodiscard]] Eigen::MatrixXd RingTransform(const Rings& rings,
                                              double source_mm,
                                              double blur_m) const;
  // Adds the trials of one kernel and source.
  // @param rises  per watt, parts of the kernel below each other: modes x rings each.
  // @param usual  kernel and source.
  static void TrySource(const Eigen::MatrixXd& rises,
                        const Eigen::MatrixXd& seen,
                        const Trial& usual,
                        std::vector<Trial>& trials);
  [[nodiscard]] std::vector<Trial> TryAll(const Rings& rings,
                                          const std::vector<Kernel>& kernels,
                                          double blur_m) const;
  [[nodiscard]] Eigen::MatrixXd PerWatt(const Trial& trial,
                                        const std::vector<Kernel>& kernels,
                                        const Rings& rings,
                                        double blur_m) const;
  [[nodiscard]] HeatForm FormOf(const Eigen::MatrixXf& modes,
                                const Mask& seen,
                                Point center_px,
                                const View& view) const;
  [[nodiscard]] Rings MeasureRings(const Eigen::MatrixXf& modes,
                                   const Mask& seen,
                                   Point center_px,
                                   const View& view) const;

  PlatePrior prior_;
  Eigen::MatrixXd basis_;  // bins x modes, orthonormal
  Eigen::VectorXd k_rad_m_;
  Eigen::VectorXd k_weight_;  // k dk / (2 pi)
  Rings profile_rings_;
  Responses ohmic_;
  Responses junction_;
};

}  // namespace ohmglow
