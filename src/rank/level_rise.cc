// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/level_rise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/decompose.h"
#include "rank/course.h"

namespace ohmglow {
namespace {

constexpr double kSigmaPx = 1.0;
constexpr double kSurroundingsPx = 12;
constexpr std::array kLagsS = {0.3, 1.0, 3.0, 10.0};
constexpr int kDescents = 200;
constexpr int kSamples = 5;  // Of a bin, to average over it.
// Two currents closer than this are one level.
constexpr double kSameAmps = 0.03;
// A level that the others explain but for this share cannot be told.
constexpr double kLeastOwn = 0.02;

struct Box {
  double start_s;
  double end_s;
};

// All stretches of one current.
struct Level {
  double amps_a;
  std::vector<Box> boxes;
};

double LagOfBox(const Box& box, double tau_s, double time_s) {
  if (time_s <= box.start_s) return 0;
  const double warm = -std::expm1(-(std::min(time_s, box.end_s) - box.start_s) / tau_s);
  return time_s <= box.end_s ? warm : warm * std::exp(-(time_s - box.end_s) / tau_s);
}

double LagOf(const Level& level, double tau_s, double time_s) {
  double sum = 0;
  for (const Box& box : level.boxes) sum += LagOfBox(box, tau_s, time_s);
  return sum;
}

// A change between two levels counts half to each.
std::vector<Level> GatherLevels(const Drive& drive) {
  std::vector<SupplyLevel> stretches = drive.Levels();
  for (std::size_t i = 1; i < stretches.size(); ++i) {
    const double middle_s = 0.5 * (stretches[i - 1].end_s + stretches[i].start_s);
    stretches[i - 1].end_s = stretches[i].start_s = middle_s;
  }
  const double same_a = kSameAmps * drive.top_amps_a();
  std::vector<Level> levels;
  for (const SupplyLevel& stretch : stretches) {
    if (stretch.amps_a <= same_a) continue;
    const auto like = std::find_if(levels.begin(), levels.end(), [&](const Level& level) {
      return std::abs(level.amps_a - stretch.amps_a) < same_a;
    });
    if (like != levels.end()) {
      like->boxes.push_back({stretch.start_s, stretch.end_s});
    } else {
      levels.push_back({stretch.amps_a, {{stretch.start_s, stretch.end_s}}});
    }
  }
  std::sort(levels.begin(), levels.end(), [](const Level& a, const Level& b) {
    return a.amps_a < b.amps_a;
  });
  return levels;
}

// Bins x lags of one level, not weighted.
Eigen::MatrixXd LagsOf(const Level& level, const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const double bin_s = times_s.size() < 2 ? 0
                                          : (times_s.back() - times_s.front()) /
                                                static_cast<double>(times_s.size() - 1);
  Eigen::MatrixXd lags(model.num_bins(), static_cast<Eigen::Index>(kLagsS.size()));
  for (Eigen::Index b = 0; b < lags.rows(); ++b) {
    for (Eigen::Index k = 0; k < lags.cols(); ++k) {
      double sum = 0;
      for (int i = 0; i < kSamples; ++i) {
        const double shift_s = bin_s * ((i + 0.5) / kSamples - 0.5);
        sum += LagOf(level,
                     kLagsS[static_cast<std::size_t>(k)],
                     times_s[static_cast<std::size_t>(b)] + shift_s);
      }
      lags(b, k) = sum / kSamples;
    }
  }
  return lags;
}

// Non-negative least squares by coordinate descent; few columns.
Eigen::VectorXd NonNegative(const Eigen::MatrixXd& columns, const Eigen::VectorXd& course) {
  const Eigen::MatrixXd normal = columns.transpose() * columns;
  const Eigen::VectorXd right = columns.transpose() * course;
  Eigen::VectorXd x = Eigen::VectorXd::Zero(columns.cols());
  for (int round = 0; round < kDescents; ++round) {
    for (Eigen::Index k = 0; k < x.size(); ++k) {
      if (normal(k, k) <= 0) continue;
      x(k) = std::max(0.0, x(k) + (right(k) - normal.row(k).dot(x)) / normal(k, k));
    }
  }
  return x;
}

// One column a level, the lags mixed as the place shows them.
Eigen::MatrixXd MixLags(const std::vector<Eigen::MatrixXd>& lags, const Eigen::VectorXd& mixture) {
  Eigen::MatrixXd mixed(lags.front().rows(), static_cast<Eigen::Index>(lags.size()));
  for (std::size_t j = 0; j < lags.size(); ++j) {
    mixed.col(static_cast<Eigen::Index>(j)) = lags[j] * mixture;
  }
  return mixed;
}

Eigen::MatrixXd ProjectAll(const TemporalModel& model, const Eigen::MatrixXd& shapes) {
  Eigen::MatrixXd projected(shapes.rows(), shapes.cols());
  for (Eigen::Index j = 0; j < shapes.cols(); ++j) {
    projected.col(j) = model.Project(model.Weighted(shapes.col(j)));
  }
  return projected;
}

// Lags as the place shows them where its heat goes with current^exponent.
Eigen::VectorXd FindMixture(const std::vector<Level>& levels,
                            const std::vector<Eigen::MatrixXd>& lags,
                            const TemporalModel& model,
                            const Eigen::VectorXd& course,
                            double exponent) {
  Eigen::MatrixXd driven = Eigen::MatrixXd::Zero(lags.front().rows(), lags.front().cols());
  for (std::size_t j = 0; j < levels.size(); ++j) {
    driven += std::pow(levels[j].amps_a / levels.back().amps_a, exponent) * lags[j];
  }
  return NonNegative(ProjectAll(model, driven), course);
}

// The last moment of the highest current, of unit heat in one level.
Eigen::VectorXd AtTheEnd(const std::vector<Level>& levels,
                         const Eigen::VectorXd& mixture,
                         double end_s) {
  Eigen::VectorXd ends(static_cast<Eigen::Index>(levels.size()));
  for (std::size_t j = 0; j < levels.size(); ++j) {
    double sum = 0;
    for (std::size_t k = 0; k < kLagsS.size(); ++k) {
      sum += mixture(static_cast<Eigen::Index>(k)) * LagOf(levels[j], kLagsS[k], end_s);
    }
    ends(static_cast<Eigen::Index>(j)) = sum;
  }
  return ends;
}

}  // namespace

std::vector<LevelRise> MeasureLevelRises(const Response& response,
                                         const TemporalModel& model,
                                         const Drive& drive,
                                         Point center_px,
                                         double exponent,
                                         double rise_k) {
  const std::vector<Level> levels = GatherLevels(drive);
  if (levels.empty() || !(rise_k > 0)) return {};
  const Eigen::VectorXd course =
      SpotCourse(response.courses, response.seen, center_px, kSigmaPx, kSurroundingsPx);
  std::vector<Eigen::MatrixXd> lags;
  for (const Level& level : levels) lags.push_back(LagsOf(level, model));
  const Eigen::VectorXd mixture = FindMixture(levels, lags, model, course, exponent);
  const Eigen::MatrixXd columns = ProjectAll(model, MixLags(lags, mixture));
  const Eigen::MatrixXd normal = columns.transpose() * columns;
  if (!(normal.diagonal().minCoeff() > 0)) return {};
  const Eigen::MatrixXd inverse = Inverse(normal);
  const Eigen::VectorXd heat = inverse * (columns.transpose() * course);
  const Eigen::VectorXd ends = AtTheEnd(levels, mixture, drive.top_end_s());
  const double now = heat.dot(ends);
  if (!(now > 0)) return {};
  const double scale_k = rise_k / now * ends.sum();
  const double degrees = std::max<double>(
      1, static_cast<double>(model.num_bins() - model.num_nuisances() - columns.cols()));
  const double rest = (course - columns * heat).squaredNorm() / degrees;
  const double spread = std::max(response.noise_median_k, std::sqrt(rest));
  std::vector<LevelRise> rises;
  for (std::size_t j = 0; j < levels.size(); ++j) {
    const auto i = static_cast<Eigen::Index>(j);
    // 1: nothing of the level could be said of the others.
    const double own = 1 / (inverse(i, i) * normal(i, i));
    if (!std::isfinite(own) || own < kLeastOwn * kLeastOwn) continue;
    rises.push_back(
        {levels[j].amps_a, scale_k * heat(i), scale_k * spread * std::sqrt(inverse(i, i))});
  }
  return rises;
}

}  // namespace ohmglow
