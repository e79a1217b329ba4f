// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/response.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "base/decompose.h"
#include "base/median.h"
#include "base/simd_clones.h"
#include "heat/course_span.h"
#include "heat/directions.h"
#include "heat/pixel_courses.h"
#include "heat/seen_blur.h"
#include "heat/shared_courses.h"
#include "heat/source_kinds.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Rise that the prior of the shown map expects, in units of one frame's noise.
constexpr double kPriorRiseOfNoise = 5;
// A prior too wide costs little, one too narrow pulls slow heat to zero.
constexpr double kRoom = 4;
constexpr double kRiseBlurPx = 1.2;

Image AsImage(const float* values, cv::Size size) {
  Image image(size);
  std::copy_n(values, size.area(), image.ptr<float>());
  return image;
}

std::vector<Image> AsImages(const PixelRows& rows, cv::Size size) {
  std::vector<Image> images;
  for (Eigen::Index i = 0; i < rows.rows(); ++i)
    images.push_back(AsImage(rows.row(i).data(), size));
  return images;
}

// Once a board had time to warm as a whole, halos are as wide as surfaces that
// the picture shares, and last as long as the current.
bool WarmsAsAWhole(const Stack& stack, const SourceCourses& sources) {
  return stack.time_s.back() - stack.time_s.front() > sources.board_s;
}

// Heat of half a minute is some 20 mm wide (sqrt(4 t 15 mW/K / 3.2 kJ/(m2 K))): in a view that is
// hardly twice as wide a surface of the second degree takes it for the picture's own. Where that
// begins is measured (rank/SPOT.md): from 36 to 42 mm keeping halos gains nothing more.
bool HaloFillsView(double view_mm) {
  constexpr double kNarrowMm = 36;
  return view_mm > 0 && view_mm < kNarrowMm;
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

// Adds the squares of second differences over some rows.
OHMGLOW_SIMD_CLONES
void AddBendEnergy(const float* rows,
                   std::ptrdiff_t stride,
                   std::ptrdiff_t num_rows,
                   std::ptrdiff_t count,
                   float* __restrict energy) {
  for (std::ptrdiff_t b = 0; b + 2 < num_rows; ++b) {
    const float* __restrict first = rows + b * stride;
    const float* __restrict second = first + stride;
    const float* __restrict third = second + stride;
    for (std::ptrdiff_t i = 0; i < count; ++i) {
      const float bend = first[i] - 2 * second[i] + third[i];
      energy[i] += bend * bend;
    }
  }
}

// How much smaller the noise is than the mean square of second differences
// says: where the bins are long, steps of heat stand in a few of them, which a
// median does not heed.
float NoiseOfBends(const Eigen::MatrixXf& courses, const Eigen::MatrixXf& basis, const Mask& seen) {
  constexpr Eigen::Index kSamples = 1000;
  const Eigen::Index stride = std::max<Eigen::Index>(1, courses.cols() / kSamples);
  std::vector<Eigen::Index> pixels;
  for (Eigen::Index i = 0; i < courses.cols(); i += stride) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  Eigen::MatrixXf sample(courses.rows(), static_cast<Eigen::Index>(pixels.size()));
  for (Eigen::Index b = 0; b < courses.rows(); ++b) {
    for (Eigen::Index i = 0; i < sample.cols(); ++i) {
      sample(b, i) = courses(b, pixels[static_cast<std::size_t>(i)]);
    }
  }
  sample -= basis * (basis.transpose() * sample).eval();
  const Eigen::MatrixXf bends = Bends(sample);
  std::vector<float> ratios;
  std::vector<float> sizes(static_cast<std::size_t>(bends.rows()));
  for (Eigen::Index i = 0; i < bends.cols(); ++i) {
    Eigen::Map<Eigen::VectorXf>(sizes.data(), bends.rows()) = bends.col(i).cwiseAbs();
    const float root = bends.col(i).norm() / std::sqrt(static_cast<float>(bends.rows()));
    // 1.4826: from the median absolute deviation to a standard deviation (normal quantile).
    if (root > 0) ratios.push_back(1.4826F * MedianOf(sizes) / root);
  }
  return ratios.empty() ? 1 : std::min(1.0F, MedianOf(ratios));
}

// What pixels have in the span, and how much the rest of them bends.
struct Spanned {
  PixelRows in_modes;  // modes x pixels
  Image bend_energy;   // sum of squared second differences in time [K^2]
};

Spanned Span(const Eigen::MatrixXf& courses, const Eigen::MatrixXf& basis, cv::Size size) {
  const Eigen::MatrixXf into = basis.transpose();
  const Eigen::MatrixXf out_of = -basis;
  Spanned out{PixelRows(basis.cols(), courses.cols()), Image(size, 0.0F)};
  float* energy = out.bend_energy.ptr<float>();
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    PixelRows rest = RowsOf(courses, at, count);
    float* in_modes = out.in_modes.data() + at;
    MixRows(into, rest.data(), count, count, false, in_modes, out.in_modes.cols());
    MixRows(out_of, in_modes, out.in_modes.cols(), count, true, rest.data(), count);
    AddBendEnergy(rest.data(), count, rest.rows(), count, energy + at);
  });
  return out;
}

// Local noise of one pixel in one frame: from second differences in time of
// what the span leaves over. What still bends there (a board that warms for
// half an hour) is no noise, and changes little from bin to bin.
// @param variance  the energy of those differences.
void MeasureNoise(const Eigen::MatrixXf& courses,
                  const Eigen::MatrixXf& basis,
                  Image variance,
                  const SeenBlur& blur,
                  Response& out) {
  // A second difference of white noise has six times its variance, less what
  // the span takes of it.
  const auto white = static_cast<float>(6 * (courses.rows() - 2)) - Bends(basis).squaredNorm();
  const float steady = NoiseOfBends(courses, basis, out.seen);
  variance *= steady * steady / white;
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

// Gives the courses other modes, as the softened model leaves them, in place: it only changes
// what lies in the modes.
// @param in_modes  the modes that the courses have.
void Soften(const std::vector<Image>& modes,
            const CourseSpan& span,
            const TemporalModel& model,
            const PixelRows& in_modes,
            Eigen::MatrixXf& courses) {
  Eigen::MatrixXd shrunk(span.basis.rows(), span.basis.cols());
  for (Eigen::Index i = 0; i < shrunk.cols(); ++i) shrunk.col(i) = model.Project(span.basis.col(i));
  const Eigen::MatrixXf keep = (span.basis.transpose() * shrunk).cast<float>();
  const Eigen::MatrixXf basis = span.basis.cast<float>();
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    PixelRows change(basis.cols(), count);
    for (Eigen::Index m = 0; m < change.rows(); ++m) {
      std::copy_n(
          modes[static_cast<std::size_t>(m)].ptr<float>() + at, count, change.row(m).data());
    }
    change = Mixed(keep, change);
    change -= in_modes.middleCols(at, count);
    PixelRows rows = RowsOf(courses, at, count);
    MixRows(basis, change.data(), count, count, true, rows.data(), count);
    SetColumns(rows, at, courses);
  });
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
  return SolveSymmetric(covariance, cross);
}

}  // namespace

Image StaticPicture(const Stack& stack) {
  const int count = StaticBins(stack);
  Image sum(stack.size_px(), 0.0F);
  for (int b = 0; b < count; ++b) sum += stack.bins_k[static_cast<std::size_t>(b)];
  return Image(sum * (1.0 / count));
}

Response FitResponse(Eigen::MatrixXf courses,
                     const Stack& stack,
                     const Drive& drive,
                     const SourceCourses& sources,
                     const HeatOptions& options,
                     TemporalModel& model,
                     double view_mm) {
  Response out;

  const cv::Size size = stack.size_px();
  out.seen = stack.seen.clone();
  out.out_of_range = stack.out_of_range.clone();
  out.read_rise_k = stack.read_rise_k;
  out.static_k = StaticPicture(stack);
  const CourseSpan span = SpanCourses(stack, model, KindsOfBoth(sources, model, drive));
  const Eigen::MatrixXf basis = span.basis.cast<float>();
  const auto [in_modes, bend_energy] = Span(courses, basis, size);
  MeasureNoise(courses, basis, bend_energy, SeenBlur(out.seen, 1.0), out);
  std::vector<Image> modes = AsImages(in_modes, size);
  RemoveShared(out.static_k, out.seen, {}, modes);
  out.detector = Detector(modes, span, out.noise_k, out.static_k, options.misplaced_px, out.seen);
  const bool is_long = WarmsAsAWhole(stack, sources);
  if (is_long || HaloFillsView(view_mm)) {
    const std::vector<Image> halos = HalosOf(out.detector, out.seen);
    if (!halos.empty()) {
      out.kept_halos = !is_long;
      modes = AsImages(in_modes, size);
      RemoveShared(out.static_k, out.seen, halos, modes);
    }
  }
  out.usual = span.basis * span.usual;
  model.Soften(span.basis, out.detector.covariance());
  Soften(modes, span, model, in_modes, courses);
  out.courses = std::move(courses);

  const double prior_k =
      std::max(kPriorRiseOfNoise * out.noise_median_k, RiseOfSteps(out.detector, span, out.seen));
  const std::vector<SourceKind> kinds = KindsOfBoth(sources, model, drive);
  const SeenBlur light(out.seen, kRiseBlurPx);
  const auto rise = [&](const Eigen::VectorXd& weights) {
    const Eigen::VectorXf values = out.courses.transpose() * weights.cast<float>();
    return light(AsImage(values.data(), size));
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
  return out;
}

}  // namespace ohmglow
