// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/film.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/decompose.h"

namespace ohmglow::desk {
namespace {

// As for a place's course: the middle may be quicker than its surroundings.
constexpr std::array kLagFactors = {0.3, 1.0, 3.0};
constexpr double kExponent = 2;
constexpr double kSmoothPx = 0.8;

}  // namespace

Film::Film(const Analysis& analysis, double lag_s) : times_s_(analysis.model->bin_times_s()) {
  const TemporalModel& model = *analysis.model;
  const auto lags = static_cast<Eigen::Index>(kLagFactors.size());
  Eigen::MatrixXd shapes(model.num_bins(), lags);
  Eigen::MatrixXd projected(model.num_bins(), lags);
  for (Eigen::Index i = 0; i < lags; ++i) {
    const double own_s = std::clamp(lag_s * kLagFactors[static_cast<std::size_t>(i)], 0.1, 30.0);
    shapes.col(i) = model.BinnedLag(*analysis.drive, own_s, kExponent);
    projected.col(i) = model.Project(model.Weighted(shapes.col(i)));
  }
  Eigen::MatrixXd normal = projected.transpose() * projected;
  normal.diagonal() *= 1 + 1e-6;  // Lags that are nearly alike must stay solvable.
  const Eigen::MatrixXd solve = Inverse(normal) * projected.transpose();
  amplitude_ = solve.cast<float>() * analysis.response.courses;
  shapes_ = (shapes.rowwise() - shapes.row(0)).cast<float>();
  projected_ = projected.cast<float>();
}

Image Film::At(const Analysis& analysis, std::size_t bin, const Eigen::RowVectorXf& values) const {
  const Response& response = analysis.response;
  const auto b = static_cast<Eigen::Index>(bin);
  const auto weight = static_cast<float>(analysis.model->weight()(b));
  // What the fit leaves over is measured, too: the picture is not the model's.
  const Eigen::RowVectorXf rest =
      (values - projected_.row(b) * amplitude_) / std::max(weight, 1e-6F);
  const Eigen::RowVectorXf rise = shapes_.row(b) * amplitude_ + rest;
  Image picture(response.seen.size());
  for (int y = 0; y < picture.rows; ++y) {
    for (int x = 0; x < picture.cols; ++x) {
      picture(y, x) = response.seen(y, x) != 0 ? rise(y * picture.cols + x) : 0.0F;
    }
  }
  cv::GaussianBlur(picture, picture, {}, kSmoothPx);
  picture.setTo(std::nanf(""), response.seen == 0);
  return picture;
}

}  // namespace ohmglow::desk
