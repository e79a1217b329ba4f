// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/slab_film.h"

#include <cmath>
#include <numbers>

namespace ohmglow::testing {
namespace {

constexpr int kNumFrequencies = 700;
constexpr int kNumRadii = 260;
constexpr int kNumModes = 24;

}  // namespace

SlabFilm::SlabFilm(const Plate& plate,
                   const Steps& steps,
                   const Stack& stack,
                   const TemporalModel& model,
                   double mm_per_pixel,
                   double size_m,
                   bool near) {
  const double pi = std::numbers::pi;
  const double dk = 4.5 / size_m / kNumFrequencies;
  const double first_rate = kThroughDiffusivityM2S * std::pow(pi / plate.thickness_m, 2);
  Eigen::MatrixXd courses = Eigen::MatrixXd::Zero(stack.size(), kNumFrequencies);
  Eigen::MatrixXd bessel(kNumFrequencies, kNumRadii);
  for (int i = 0; i < kNumFrequencies; ++i) {
    const double k = (i + 0.5) * dk;
    const double base =
        (plate.sheet_conductance_w_k * k * k + plate.film_w_m2k) / plate.heat_capacity_j_m2k;
    for (int n = 0; n <= kNumModes; ++n) {
      const double rate = base + n * n * first_rate;
      double weight = (n == 0 ? 1 : 2) / rate;
      if (!near && n % 2 == 1) weight = -weight;
      // All near modes above, as quick as the last: sum 1/n^2 from n + 1 on is
      // 1/(n + 1/2). Of the far ones half of the next, which alternate.
      if (n == kNumModes) weight += near ? 2 / first_rate / (n + 0.5) : -1 / rate;
      for (int b = 0; b < stack.size(); ++b) {
        double sum = 0;
        const auto& times = stack.frame_times_s[static_cast<std::size_t>(b)];
        for (const double t : times) sum += LagOfSteps(steps, t, 1 / rate, 2);
        courses(b, i) += weight * sum / static_cast<double>(times.size());
      }
    }
    const double shape = k * dk / (2 * pi) * std::exp(-0.5 * k * k * size_m * size_m);
    courses.col(i) *= shape / plate.heat_capacity_j_m2k;
    for (int r = 0; r < kNumRadii; ++r) {
      bessel(i, r) = std::cyl_bessel_j(0.0, k * r * step_px * mm_per_pixel * 1e-3);
    }
  }
  Eigen::MatrixXd projected(stack.size(), kNumRadii);
  const Eigen::MatrixXd raw = courses * bessel;
  for (int r = 0; r < kNumRadii; ++r) projected.col(r) = model.Project(model.Weighted(raw.col(r)));
  profile = projected.cast<float>();
}

void SlabFilm::Add(Point at_px, double power_w, cv::Size size_px, Eigen::MatrixXf& courses) const {
  for (int y = 0; y < size_px.height; ++y) {
    for (int x = 0; x < size_px.width; ++x) {
      const double at = std::hypot(x - at_px.x, y - at_px.y) / step_px;
      const auto low = static_cast<Eigen::Index>(at);
      if (low + 1 >= profile.cols()) continue;
      const auto share = static_cast<float>(at - static_cast<double>(low));
      courses.col(y * size_px.width + x) +=
          static_cast<float>(power_w) *
          ((1 - share) * profile.col(low) + share * profile.col(low + 1));
    }
  }
}

Response WhiteResponse(cv::Size size_px,
                       double noise_k,
                       const TemporalModel& model,
                       std::mt19937& random) {
  std::normal_distribution<float> normal(0.0F, static_cast<float>(noise_k));
  Response out;
  out.courses = Eigen::MatrixXf(model.num_bins(), size_px.area());
  for (Eigen::Index i = 0; i < out.courses.size(); ++i) out.courses.data()[i] = normal(random);
  model.ProjectColumns(out.courses);
  out.noise_k = Image(size_px, static_cast<float>(noise_k));
  out.noise_median_k = noise_k;
  out.seen = Mask(size_px, static_cast<unsigned char>(255));
  return out;
}

}  // namespace ohmglow::testing
