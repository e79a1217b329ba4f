// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/shared_courses.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/decompose.h"
#include "base/median.h"
#include "heat/seen_blur.h"

namespace ohmglow {
namespace {

constexpr int kRounds = 3;
// Detail of the static picture is what a mean of this width leaves.
constexpr double kDetailPx = 12;
constexpr double kSlopePx = 0.7;
// The rest counts as large where, over a box of this size, it is so many times the usual.
constexpr int kBoxPx = 5;
constexpr double kLargeRest = 8;
constexpr int kSurface = 6;  // terms of a surface of degree two
constexpr int kRegressors = kSurface + 5;
constexpr std::size_t kPixelsPerTerm = 10;
// Halos of the three strongest places that are no weaker than this part of the
// first; Gaussians from this size to that part of the picture.
constexpr int kMostHalos = 3;
constexpr double kLeastOfStrongest = 0.1;
constexpr double kFinestHaloPx = 4;
constexpr double kWidestHaloOfPicture = 0.2;
constexpr int kApartPx = 12;

// Pixels x regressors, seen pixels only.
Eigen::MatrixXf Regressors(const Image& static_k,
                           const Mask& seen,
                           const std::vector<Image>& halos,
                           const std::vector<int>& pixels) {
  const Image detail(static_k - SeenBlur(seen, kDetailPx)(static_k));
  Image smooth;
  Image dx;
  Image dy;
  cv::GaussianBlur(static_k, smooth, {0, 0}, kSlopePx);
  cv::Sobel(smooth, dx, CV_32F, 1, 0, 3, 1.0 / 8);
  cv::Sobel(smooth, dy, CV_32F, 0, 1, 3, 1.0 / 8);
  const auto num_halos = static_cast<Eigen::Index>(halos.size());
  Eigen::MatrixXf out(static_cast<Eigen::Index>(pixels.size()), kRegressors + num_halos);
  for (Eigen::Index i = 0; i < out.rows(); ++i) {
    const int pixel = pixels[static_cast<std::size_t>(i)];
    const int row = pixel / seen.cols;
    const int col = pixel % seen.cols;
    const float x = 2.0F * static_cast<float>(col) / static_cast<float>(seen.cols) - 1;
    const float y = 2.0F * static_cast<float>(row) / static_cast<float>(seen.rows) - 1;
    const float gx = dx(row, col);
    const float gy = dy(row, col);
    out.row(i).head(kRegressors) << 1, x, y, x * x, x * y, y * y, detail(row, col), gx, gy,
        x * gy - y * gx, x * gx + y * gy;
    for (Eigen::Index h = 0; h < num_halos; ++h) {
      out(i, kRegressors + h) = halos[static_cast<std::size_t>(h)](row, col);
    }
  }
  // Unit spread each, so that one small ridge fits all.
  for (Eigen::Index c = 0; c < out.cols(); ++c) {
    const float size = out.col(c).norm() / std::sqrt(static_cast<float>(out.rows()));
    if (size > 1e-6F) out.col(c) /= size;
  }
  return out;
}

Image Gaussian(cv::Size size, cv::Point at, double sigma_px) {
  Image out(size);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const cv::Point away = cv::Point(x, y) - at;
      out(y, x) = static_cast<float>(std::exp(-0.5 * away.dot(away) / (sigma_px * sigma_px)));
    }
  }
  return out;
}

// Weights from the rest's energy, averaged over a box around each pixel.
Eigen::VectorXf Weights(const Eigen::MatrixXf& rest,
                        const std::vector<int>& pixels,
                        cv::Size size) {
  Image energy(size, 0.0F);
  Image mode(size, 0.0F);
  Image mean;
  for (Eigen::Index m = 0; m < rest.cols(); ++m) {
    for (std::size_t i = 0; i < pixels.size(); ++i) {
      mode.ptr<float>()[pixels[i]] = rest(static_cast<Eigen::Index>(i), m);
    }
    cv::blur(mode, mean, {kBoxPx, kBoxPx});
    energy += mean.mul(mean);
  }
  std::vector<float> values(pixels.size());
  for (std::size_t i = 0; i < pixels.size(); ++i) values[i] = energy.ptr<float>()[pixels[i]];
  std::vector<float> sorted = values;
  const float large = static_cast<float>(kLargeRest) * std::max(MedianOf(sorted), 1e-20F);
  Eigen::VectorXf weights(rest.rows());
  for (std::size_t i = 0; i < values.size(); ++i) {
    weights(static_cast<Eigen::Index>(i)) = 1 / (1 + values[i] / large);
  }
  return weights;
}

}  // namespace

std::vector<Image> HalosOf(const Detector& detector, const Mask& seen) {
  Image left = detector.steps_k().clone();
  left.setTo(0, (detector.z_steps() < Detector::kStrongSteps) | (seen == 0));
  std::vector<Image> halos;
  double strongest = 0;
  for (int n = 0; n < kMostHalos; ++n) {
    double highest = 0;
    cv::Point at;
    cv::minMaxLoc(left, nullptr, &highest, nullptr, &at);
    strongest = std::max(strongest, highest);
    if (highest <= kLeastOfStrongest * strongest) break;
    const double widest_px = kWidestHaloOfPicture * std::max(seen.cols, seen.rows);
    for (double sigma_px = kFinestHaloPx; sigma_px <= widest_px; sigma_px *= 2) {
      halos.push_back(Gaussian(seen.size(), at, sigma_px));
    }
    cv::circle(left, at, kApartPx, 0, cv::FILLED);
  }
  return halos;
}

void RemoveShared(const Image& static_k,
                  const Mask& seen,
                  const std::vector<Image>& wanted_halos,
                  std::vector<Image>& modes) {
  std::vector<int> pixels;
  for (int i = 0; i < static_cast<int>(seen.total()); ++i) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  if (pixels.size() < kPixelsPerTerm * kRegressors || modes.empty()) return;
  const bool room = pixels.size() >= kPixelsPerTerm * (kRegressors + wanted_halos.size());
  const std::vector<Image> halos = room ? wanted_halos : std::vector<Image>();
  const Eigen::MatrixXf regressors = Regressors(static_k, seen, halos, pixels);
  Eigen::MatrixXf values(regressors.rows(), static_cast<Eigen::Index>(modes.size()));
  for (std::size_t m = 0; m < modes.size(); ++m) {
    for (std::size_t i = 0; i < pixels.size(); ++i) {
      values(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(m)) =
          modes[m].ptr<float>()[pixels[i]];
    }
  }
  Eigen::VectorXf weights = Eigen::VectorXf::Ones(values.rows());
  Eigen::MatrixXf rest;
  Eigen::MatrixXf shares;
  for (int round = 0; round < kRounds; ++round) {
    const Eigen::MatrixXf weighted = weights.asDiagonal() * regressors;
    Eigen::MatrixXd normal = (weighted.transpose() * regressors).cast<double>();
    normal.diagonal().array() += 1e-6 * normal.trace() / static_cast<double>(normal.rows());
    const Eigen::MatrixXd moments = (weighted.transpose() * values).cast<double>();
    shares = SolveSymmetric(normal, moments).cast<float>();
    rest = values - regressors * shares;
    if (round + 1 < kRounds) weights = Weights(rest, pixels, seen.size());
  }
  if (!halos.empty())
    rest = values - regressors.leftCols(kRegressors) * shares.topRows(kRegressors);
  for (std::size_t m = 0; m < modes.size(); ++m) {
    for (std::size_t i = 0; i < pixels.size(); ++i) {
      modes[m].ptr<float>()[pixels[i]] =
          rest(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(m));
    }
  }
}

}  // namespace ohmglow
