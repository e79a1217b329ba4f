// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock_grid.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <opencv2/imgproc.hpp>

#include "heat/drive.h"

namespace ohmglow {
namespace {

constexpr int kGridPx = 2;
constexpr int kRimPx = 6;
// Means wider than this are taken of a smaller picture.
constexpr double kFinestMeanPx = 2;
// Edges tremble with registration errors of about this size.
constexpr double kTremblePx = 0.05;
// Gain that noise does not reach.
constexpr float kLeastGain = 12;
constexpr std::size_t kMostSpots = 30;
constexpr double kApartPx = 8;
// Within this distance of a spot, one much weaker is its halo.
constexpr double kHaloPx = 24;
constexpr float kHaloGain = 0.35F;

// A wide mean needs few pixels: of every 2^n one.
Image Mean(const Image& picture, double sigma_px) {
  Image small = picture;
  double scale = 1;
  while (sigma_px * scale > kFinestMeanPx) {
    Image half;
    cv::resize(small, half, {}, 0.5, 0.5, cv::INTER_AREA);
    small = half;
    scale *= 0.5;
  }
  Image mean;
  cv::GaussianBlur(small, mean, {0, 0}, sigma_px * scale);
  if (scale == 1) return mean;
  cv::resize(mean, small, picture.size(), 0, 0, cv::INTER_LINEAR);
  return small;
}

Image Band(const Image& picture, const DetailBand& band) {
  return Image(Mean(picture, band.inner_px) - Mean(picture, band.outer_px));
}

std::vector<cv::Point> Points(const Stack& stack) {
  Mask good;
  cv::erode(stack.seen, good, cv::Mat::ones(5, 5, CV_8U), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  std::vector<cv::Point> points;
  for (int y = kRimPx; y < good.rows - kRimPx; y += kGridPx) {
    for (int x = kRimPx; x < good.cols - kRimPx; x += kGridPx) {
      const bool cut = !stack.out_of_range.empty() && stack.out_of_range(y, x) != 0;
      if (good(y, x) != 0 && !cut) points.emplace_back(x, y);
    }
  }
  return points;
}

Eigen::ArrayXf TrembleEnergy(const Stack& stack,
                             const std::vector<cv::Point>& points,
                             double degrees,
                             const DetailBand& band) {
  const Image still = Band(stack.bins_k[stack.bins_k.size() / 2], band);
  Image dx;
  Image dy;
  cv::Sobel(still, dx, CV_32F, 1, 0, 3, 1.0 / 8);
  cv::Sobel(still, dy, CV_32F, 0, 1, 3, 1.0 / 8);
  const double frames = std::accumulate(stack.num_frames.begin(), stack.num_frames.end(), 0.0) /
                        static_cast<double>(stack.size());
  Eigen::ArrayXf energy(static_cast<Eigen::Index>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double slope = kTremblePx * std::hypot(dx(points[i]), dy(points[i]));
    energy(static_cast<Eigen::Index>(i)) = static_cast<float>(frames * degrees * slope * slope);
  }
  return energy;
}

Eigen::MatrixXd CoursesOfLags(const SourceCourses& sources,
                              const TemporalModel& model,
                              const SupplyLog& log,
                              double offset_s) {
  return model.ProjectedLags(Drive(log, offset_s), sources.lags_s, 2);
}

}  // namespace

FineGrid MakeFineGrid(const Stack& stack, const TemporalModel& model, const DetailBand& detail) {
  FineGrid grid;
  grid.degrees = std::max(1, model.num_bins() - model.num_nuisances());
  grid.at = Points(stack);
  grid.courses.resize(stack.size(), static_cast<Eigen::Index>(grid.at.size()));
  const std::vector<float> levels = BinLevels(stack);
  for (int b = 0; b < stack.size(); ++b) {
    const auto bin = static_cast<std::size_t>(b);
    const Image band = Band(Image(stack.bins_k[bin] - levels[bin]), detail);
    const auto weight = static_cast<float>(model.weight()(b));
    for (std::size_t i = 0; i < grid.at.size(); ++i) {
      grid.courses(b, static_cast<Eigen::Index>(i)) = weight * band(grid.at[i]);
    }
  }
  model.ProjectColumns(grid.courses);
  grid.tremble = TrembleEnergy(stack, grid.at, grid.degrees, detail);
  grid.whole = grid.courses.colwise().squaredNorm().transpose().array() + grid.tremble;
  return grid;
}

FineGrid Select(const FineGrid& grid, const std::vector<Eigen::Index>& points) {
  FineGrid out;
  out.degrees = grid.degrees;
  const auto count = static_cast<Eigen::Index>(points.size());
  out.courses.resize(grid.courses.rows(), count);
  out.tremble.resize(count);
  out.whole.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Index from = points[static_cast<std::size_t>(i)];
    out.at.push_back(grid.at[static_cast<std::size_t>(from)]);
    out.courses.col(i) = grid.courses.col(from);
    out.tremble(i) = grid.tremble(from);
    out.whole(i) = grid.whole(from);
  }
  return out;
}

Eigen::ArrayXXf KindGains(const FineGrid& grid,
                          const SourceCourses& sources,
                          const TemporalModel& model,
                          const SupplyLog& log,
                          double offset_s) {
  const Eigen::MatrixXd courses = CoursesOfLags(sources, model, log, offset_s) * sources.mixture;
  const Eigen::RowVectorXd norms = courses.colwise().norm().cwiseMax(1e-12);
  const Eigen::MatrixXd unit = courses.array().rowwise() / norms.array();
  const Eigen::ArrayXXf match = (unit.cast<float>().transpose() * grid.courses).array().max(0.0F);
  const Eigen::ArrayXXf share =
      (match.square().rowwise() / grid.whole.max(1e-12F).transpose()).min(0.9999F);
  return -0.5F * static_cast<float>(grid.degrees) * (1 - share).log();
}

std::vector<Eigen::Index> FindSpots(const FineGrid& grid, const Eigen::ArrayXf& gains) {
  std::vector<Eigen::Index> order;
  for (Eigen::Index i = 0; i < gains.size(); ++i) {
    if (gains(i) >= kLeastGain) order.push_back(i);
  }
  std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return gains(a) > gains(b); });
  std::vector<Eigen::Index> spots;
  for (const Eigen::Index i : order) {
    if (spots.size() >= kMostSpots) break;
    const cv::Point at = grid.at[static_cast<std::size_t>(i)];
    const bool taken = std::any_of(spots.begin(), spots.end(), [&](Eigen::Index other) {
      const cv::Point d = grid.at[static_cast<std::size_t>(other)] - at;
      const double apart_px = gains(i) < kHaloGain * gains(other) ? kHaloPx : kApartPx;
      return d.dot(d) < apart_px * apart_px;
    });
    if (!taken) spots.push_back(i);
  }
  return spots;
}

Eigen::MatrixXd CoursesOfKinds(const SourceCourses& sources,
                               const std::vector<Eigen::Index>& kinds,
                               const TemporalModel& model,
                               const SupplyLog& log,
                               double offset_s) {
  const Eigen::MatrixXd lags = CoursesOfLags(sources, model, log, offset_s);
  Eigen::MatrixXd out(model.num_bins(), static_cast<Eigen::Index>(kinds.size()));
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    out.col(static_cast<Eigen::Index>(i)) = lags * sources.mixture.col(kinds[i]);
  }
  return out;
}

}  // namespace ohmglow
