// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/response.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "heat/course_span.h"
#include "heat/directions.h"
#include "heat/median.h"
#include "heat/seen_blur.h"
#include "heat/shared_courses.h"
#include "heat/source_kinds.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Span of what heat does, for what is not heat.
constexpr std::array kLagsS = {0.3, 0.7, 1.5, 3.0, 6.0, 12.0};
constexpr int kHeatModes = 3;
// Rise that the prior of the shown map expects, in units of one frame's noise.
constexpr double kPriorRiseOfNoise = 5;
// A prior too wide costs little, one too narrow pulls slow heat to zero.
constexpr double kRoom = 4;
constexpr double kRiseBlurPx = 1.2;

// Orthonormal basis of the lags' projected responses.
Eigen::MatrixXf HeatModes(const TemporalModel& model, const Drive& drive) {
  Eigen::MatrixXd lags(model.num_bins(), static_cast<Eigen::Index>(kLagsS.size()));
  for (std::size_t i = 0; i < kLagsS.size(); ++i) {
    lags.col(static_cast<Eigen::Index>(i)) = model.ProjectedLag(drive, kLagsS[i], 2);
  }
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(lags, Eigen::ComputeThinU);
  return svd.matrixU().leftCols(kHeatModes).cast<float>();
}

Image AsImage(const Eigen::VectorXf& values, cv::Size size) {
  Image image(size);
  std::copy(values.data(), values.data() + values.size(), image.ptr<float>());
  return image;
}

Image StaticPicture(const Stack& stack) {
  const int count = std::max(1, std::min(stack.size() / 10, 8));
  Image sum(stack.size_px(), 0.0F);
  for (int b = 0; b < count; ++b) sum += stack.bins_k[static_cast<std::size_t>(b)];
  return Image(sum * (1.0 / count));
}

// Ohmic loss and junctions.
std::vector<SourceKind> KindsOfBoth(const SourceCourses& sources,
                                    const TemporalModel& model,
                                    const Drive& drive) {
  std::vector<SourceKind> kinds = SelectKinds(sources, model, drive, 2);
  for (SourceKind& kind : SelectKinds(sources, model, drive, 1)) kinds.push_back(std::move(kind));
  return kinds;
}

// Second differences down the columns.
Eigen::MatrixXf Bends(const Eigen::MatrixXf& columns) {
  const Eigen::Index inner = columns.rows() - 2;
  return columns.topRows(inner) - 2 * columns.middleRows(1, inner) + columns.bottomRows(inner);
}

// How much smaller the noise is than the mean square of second differences
// says: where the bins are long, steps of heat stand in a few of them, which a
// median does not heed.
float NoiseOfBends(const Eigen::MatrixXf& bends, const Mask& seen) {
  constexpr Eigen::Index kSamples = 1000;
  const Eigen::Index stride = std::max<Eigen::Index>(1, bends.cols() / kSamples);
  std::vector<float> ratios;
  std::vector<float> sizes(static_cast<std::size_t>(bends.rows()));
  for (Eigen::Index i = 0; i < bends.cols(); i += stride) {
    if (seen.data[i] == 0) continue;
    for (Eigen::Index b = 0; b < bends.rows(); ++b) {
      sizes[static_cast<std::size_t>(b)] = std::abs(bends(b, i));
    }
    const float root = bends.col(i).norm() / std::sqrt(static_cast<float>(bends.rows()));
    // From the median absolute deviation, check value D-6.
    if (root > 0) ratios.push_back(1.4826F * MedianOf(sizes) / root);
  }
  return ratios.empty() ? 1 : std::min(1.0F, MedianOf(ratios));
}

// Local noise of one pixel in one frame: from second differences in time of
// what the span leaves over. What still bends there (a board that warms for
// half an hour) is no noise, and changes little from bin to bin.
void MeasureNoise(const Eigen::MatrixXf& courses,
                  const CourseSpan& span,
                  const SeenBlur& blur,
                  Response& out) {
  const Eigen::MatrixXf basis = span.basis.cast<float>();
  const Eigen::MatrixXf rest = courses - basis * (basis.transpose() * courses).eval();
  // A second difference of white noise has six times its variance, less what
  // the span takes of it.
  const auto white = static_cast<float>(6 * (rest.rows() - 2)) - Bends(basis).squaredNorm();
  const Eigen::MatrixXf bends = Bends(rest);
  const float steady = NoiseOfBends(bends, out.seen);
  const Image variance = AsImage(
      bends.colwise().squaredNorm().transpose() * (steady * steady / white), out.seen.size());
  std::vector<float> seen_variance;
  for (int y = 0; y < variance.rows; ++y) {
    for (int x = 0; x < variance.cols; ++x) {
      if (out.seen(y, x) != 0 && variance(y, x) > 0) seen_variance.push_back(variance(y, x));
    }
  }
  if (seen_variance.empty()) throw DataError("no pixel was seen in all frames: hold still");
  // The median of chi-square over its mean, few bins; Wilson, Hilferty 1931. A
  // second difference counts for 18/35 of a degree of freedom.
  const double degrees = std::max(1.0, 18.0 / 35.0 * static_cast<double>(white) / 6);
  const auto median =
      static_cast<float>(MedianOf(seen_variance) / std::pow(1 - 2 / (9 * degrees), 3));
  out.noise_median_k = std::sqrt(median);
  const Image local(cv::max(blur(variance), median));
  cv::sqrt(local, out.noise_k);
}

// Puts changed modes back into the courses that they were read from.
void ReplaceModes(const CourseSpan& span,
                  const std::vector<Image>& modes,
                  Eigen::MatrixXf& courses) {
  const Eigen::MatrixXf basis = span.basis.cast<float>();
  Eigen::MatrixXf now(basis.cols(), courses.cols());
  for (std::size_t m = 0; m < modes.size(); ++m) {
    now.row(static_cast<Eigen::Index>(m)) =
        Eigen::Map<const Eigen::RowVectorXf>(modes[m].ptr<float>(), courses.cols());
  }
  now -= basis.transpose() * courses;
  courses += basis * now;
}

// Rise that the clearest steps in the picture speak of: strong heat, of which
// the background is full, must not be pulled to zero.
double RiseOfSteps(const Detector& detector, const CourseSpan& span, const Mask& seen) {
  double strongest_k = 0;
  cv::minMaxLoc(detector.steps_k(), nullptr, &strongest_k, nullptr, nullptr, seen);
  const Eigen::MatrixXd steps = Without(span.usual, span.kinds);
  return kRoom * strongest_k / (span.strength * std::max(1e-6, steps.colwise().norm().minCoeff()));
}

// Weights that turn a course into the rise at the end of the highest current.
/// @param prior_k  rise that is expected before looking.
Eigen::VectorXd RiseWeights(const std::vector<SourceKind>& kinds, double noise_k, double prior_k) {
  const Eigen::Index num_bins = kinds.front().shape.size();
  Eigen::MatrixXd covariance = noise_k * noise_k * Eigen::MatrixXd::Identity(num_bins, num_bins);
  Eigen::VectorXd cross = Eigen::VectorXd::Zero(num_bins);
  for (const SourceKind& kind : kinds) {
    // Course of a pixel whose rise at the end is the prior's.
    const Eigen::VectorXd course = kind.shape * (prior_k * kind.strength / kind.reached);
    covariance += course * course.transpose() / static_cast<double>(kinds.size());
    cross += course * (prior_k / static_cast<double>(kinds.size()));
  }
  return covariance.ldlt().solve(cross);
}

}  // namespace

Eigen::MatrixXf PixelCourses(const Stack& stack, const TemporalModel& model) {
  const int num_pixels = stack.size_px().area();
  Eigen::MatrixXf courses(stack.size(), num_pixels);
  std::vector<float> sample;
  for (int b = 0; b < stack.size(); ++b) {
    const float* pixels = stack.bins_k[static_cast<std::size_t>(b)].ptr<float>();
    // The bin's level: exact only up to what RemoveCommonOffset does later.
    sample.clear();
    for (int i = 0; i < num_pixels; i += 7) sample.push_back(pixels[i]);
    const float level = MedianOf(sample);
    const auto weight = static_cast<float>(model.weight()(b));
    for (int i = 0; i < num_pixels; ++i) courses(b, i) = weight * (pixels[i] - level);
  }
  model.ProjectColumns(courses);
  return courses;
}

void RemoveCommonOffset(Eigen::MatrixXf& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen) {
  const Eigen::MatrixXf modes = HeatModes(model, drive);
  std::vector<Eigen::Index> pixels;
  for (int i = 0; i < static_cast<int>(seen.total()); ++i) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  if (pixels.size() < 16) throw DataError("too few pixels were seen in all frames: hold still");
  const auto quarter = static_cast<std::ptrdiff_t>(pixels.size() / 4);
  for (int round = 0; round < 3; ++round) {
    const Eigen::VectorXf answer =
        (modes.transpose() * courses).colwise().squaredNorm().transpose();
    std::nth_element(pixels.begin(),
                     pixels.begin() + quarter,
                     pixels.end(),
                     [&](Eigen::Index a, Eigen::Index b) { return answer(a) < answer(b); });
    Eigen::VectorXd common(courses.rows());
    std::vector<float> values(static_cast<std::size_t>(quarter));
    for (Eigen::Index b = 0; b < courses.rows(); ++b) {
      for (std::size_t i = 0; i < values.size(); ++i) values[i] = courses(b, pixels[i]);
      common(b) = MedianOf(values);
    }
    courses.colwise() -= model.Project(common).cast<float>().eval();
  }
}

Response FitResponse(Eigen::MatrixXf courses,
                     const Stack& stack,
                     const Drive& drive,
                     const SourceCourses& sources,
                     const HeatOptions& options,
                     TemporalModel& model) {
  Response out;
  out.seen = stack.seen.clone();
  out.out_of_range = stack.out_of_range.clone();
  out.static_k = StaticPicture(stack);
  const CourseSpan span = SpanCourses(stack, model, KindsOfBoth(sources, model, drive));
  MeasureNoise(courses, span, SeenBlur(out.seen, 1.0), out);
  std::vector<Image> modes = ModeImages(span, courses, out.seen.size());
  RemoveShared(out.static_k, out.seen, modes);
  out.detector = Detector(modes, span, out.noise_k, out.static_k, options.misplaced_px, out.seen);
  ReplaceModes(span, modes, courses);
  out.usual = span.basis * span.usual;
  model.Soften(span.basis, out.detector.covariance());
  model.ProjectColumns(courses);

  const double prior_k =
      std::max(kPriorRiseOfNoise * out.noise_median_k, RiseOfSteps(out.detector, span, out.seen));
  const std::vector<SourceKind> kinds = KindsOfBoth(sources, model, drive);
  const SeenBlur light(out.seen, kRiseBlurPx);
  const auto rise = [&](const Eigen::VectorXd& weights) {
    return light(
        AsImage((weights.transpose().cast<float>() * courses).transpose(), out.seen.size()));
  };
  const auto noise_k = [&](const Eigen::VectorXd& weights) {
    return out.noise_median_k * weights.norm() / (2 * kRiseBlurPx * std::sqrt(std::numbers::pi));
  };
  const Eigen::VectorXd shown = RiseWeights(kinds, out.noise_median_k, prior_k);
  out.rise_k = rise(shown);
  out.noise_rise_k = noise_k(shown);
  const Eigen::VectorXd cautious =
      RiseWeights(kinds, out.noise_median_k, kPriorRiseOfNoise * out.noise_median_k);
  out.rise_z = Image(rise(cautious) / noise_k(cautious));
  out.courses = std::move(courses);
  return out;
}

}  // namespace ohmglow
