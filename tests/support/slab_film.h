// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <random>
#include <vector>

#include "heat/plate.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "support/scene.h"

namespace ohmglow::testing {

/// Round Gaussian source of one watt (at the highest current) in or on a slab,
/// seen through a camera's blur: courses over radius, from the cosine modes of
/// a slab with insulated faces (Carslaw, Jaeger 1959, 3.4, 10.3) summed far
/// beyond what the product sums, a Hankel integral, and LagOfSteps() in place
/// of the product's drive.
struct SlabFilm {
  SlabFilm(const Plate& plate,
           const Steps& steps,
           const Stack& stack,
           const TemporalModel& model,
           double mm_per_pixel,
           double size_m,
           bool near);

  /// Adds the source's courses (weighted, projected) to those of all pixels.
  void Add(Point at_px, double power_w, cv::Size size_px, Eigen::MatrixXf& courses) const;

  Eigen::MatrixXf profile;  ///< Bins x radii, K a watt.
  double step_px = 0.25;    ///< Of the radii.
};

/// White noise of `noise_k` a frame as the model leaves it, all pixels seen.
[[nodiscard]] Response WhiteResponse(cv::Size size_px,
                                     double noise_k,
                                     const TemporalModel& model,
                                     std::mt19937& random);

}  // namespace ohmglow::testing
