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
#include "base/simd_clones.h"
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

// Pixels that are worked on at once, all bins of them: they fit in the cache.
constexpr Eigen::Index kPiecePx = 512;

template <typename Work>
void ForEachPiece(Eigen::Index num_pixels, const Work& work) {
  for (Eigen::Index at = 0; at < num_pixels; at += kPiecePx) {
    work(at, std::min(kPiecePx, num_pixels - at));
  }
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
float NoiseOfBends(const PixelRows& courses, const Eigen::MatrixXf& basis, const Mask& seen) {
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

// Local noise of one pixel in one frame: from second differences in time of
// what the span leaves over. What still bends there (a board that warms for
// half an hour) is no noise, and changes little from bin to bin.
// @param in_modes  the courses in the span.
void MeasureNoise(const PixelRows& courses,
                  const PixelRows& in_modes,
                  const CourseSpan& span,
                  const SeenBlur& blur,
                  Response& out) {
  const Eigen::MatrixXf basis = span.basis.cast<float>();
  Image variance(out.seen.size(), 0.0F);
  PixelRows rest(courses.rows(), kPiecePx);
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    rest.leftCols(count) = courses.middleCols(at, count);
    MixRows(-basis, in_modes.data() + at, in_modes.cols(), count, true, rest.data(), kPiecePx);
    AddBendEnergy(rest.data(), kPiecePx, rest.rows(), count, variance.ptr<float>() + at);
  });
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

// Columns from rows, a few columns at once.
void Transpose(const PixelRows& rows, Eigen::Index count, float* columns) {
  constexpr Eigen::Index kColumns = 16;
  const Eigen::Index num_rows = rows.rows();
  for (Eigen::Index at = 0; at < count; at += kColumns) {
    const Eigen::Index end = std::min(count, at + kColumns);
    for (Eigen::Index r = 0; r < num_rows; ++r) {
      for (Eigen::Index i = at; i < end; ++i) columns[i * num_rows + r] = rows(r, i);
    }
  }
}

// The courses with other modes, and as the softened model leaves them: it only
// changes what lies in the modes.
// @param in_modes  the modes that the courses have.
Eigen::MatrixXf Softened(const PixelRows& courses,
                         const std::vector<Image>& modes,
                         const CourseSpan& span,
                         const TemporalModel& model,
                         const PixelRows& in_modes) {
  Eigen::MatrixXd shrunk(span.basis.rows(), span.basis.cols());
  for (Eigen::Index i = 0; i < shrunk.cols(); ++i) shrunk.col(i) = model.Project(span.basis.col(i));
  const Eigen::MatrixXf keep = (span.basis.transpose() * shrunk).cast<float>();
  const Eigen::MatrixXf basis = span.basis.cast<float>();
  Eigen::MatrixXf out(courses.rows(), courses.cols());
  PixelRows piece(courses.rows(), kPiecePx);
  PixelRows change(basis.cols(), kPiecePx);
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    for (Eigen::Index m = 0; m < change.rows(); ++m) {
      std::copy_n(
          modes[static_cast<std::size_t>(m)].ptr<float>() + at, count, change.row(m).data());
    }
    change.leftCols(count) = Mixed(keep, change).leftCols(count);
    change.leftCols(count) -= in_modes.middleCols(at, count);
    piece.leftCols(count) = courses.middleCols(at, count);
    MixRows(basis, change.data(), kPiecePx, count, true, piece.data(), kPiecePx);
    Transpose(piece, count, out.data() + at * out.rows());
  });
  return out;
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

// Takes the nuisance out of rows: what a model takes has few directions.
class RowProjector {
 public:
  explicit RowProjector(const TemporalModel& model) {
    Eigen::MatrixXd taken = Eigen::MatrixXd::Identity(model.num_bins(), model.num_bins());
    for (Eigen::Index i = 0; i < taken.cols(); ++i) {
      taken.col(i) -= model.Project(Eigen::VectorXd::Unit(taken.rows(), i));
    }
    Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(taken);
    qr.setThreshold(1e-9);
    const Eigen::MatrixXd directions =
        qr.householderQ() * Eigen::MatrixXd::Identity(taken.rows(), qr.rank());
    into_ = (directions.transpose() * taken).cast<float>();
    out_of_ = -directions.cast<float>();
  }

  void Take(PixelRows& rows, Eigen::Index at, Eigen::Index count) const {
    PixelRows taken(into_.rows(), count);
    MixRows(into_, rows.data() + at, rows.cols(), count, false, taken.data(), count);
    MixRows(out_of_, taken.data(), count, count, true, rows.data() + at, rows.cols());
  }

 private:
  Eigen::MatrixXf into_;
  Eigen::MatrixXf out_of_;
};

// The quarter of the pixels with the smallest values, some of them.
std::vector<Eigen::Index> SomeOfLeastQuarter(const std::vector<Eigen::Index>& pixels,
                                             const Eigen::VectorXf& values) {
  constexpr std::size_t kEnough = 4096;  // For a median.
  std::vector<float> sorted;
  sorted.reserve(pixels.size());
  for (const Eigen::Index pixel : pixels) sorted.push_back(values(pixel));
  const std::size_t quarter = pixels.size() / 4;
  std::nth_element(
      sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(quarter), sorted.end());
  const float limit = sorted[quarter];
  const std::size_t stride = std::max<std::size_t>(1, quarter / kEnough);
  std::vector<Eigen::Index> some;
  std::size_t count = 0;
  for (const Eigen::Index pixel : pixels) {
    if (values(pixel) > limit) continue;
    if (count++ % stride == 0) some.push_back(pixel);
  }
  return some;
}

}  // namespace

PixelRows PixelCourses(const Stack& stack, const TemporalModel& model) {
  const std::vector<float> levels = BinLevels(stack);  // Exact up to RemoveCommonOffset().
  const RowProjector projector(model);
  PixelRows courses(stack.size(), stack.size_px().area());
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    for (Eigen::Index b = 0; b < courses.rows(); ++b) {
      const auto bin = static_cast<std::size_t>(b);
      const Eigen::Map<const Eigen::RowVectorXf> pixels(stack.bins_k[bin].ptr<float>() + at, count);
      courses.row(b).segment(at, count) =
          static_cast<float>(model.weight()(b)) * (pixels.array() - levels[bin]).matrix();
    }
    projector.Take(courses, at, count);
  });
  return courses;
}

void RemoveCommonOffset(PixelRows& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen) {
  std::vector<Eigen::Index> pixels;
  for (int i = 0; i < static_cast<int>(seen.total()); ++i) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  if (pixels.size() < 16) throw DataError("too few pixels were seen in all frames: hold still");
  const Eigen::MatrixXf modes = HeatModes(model, drive);
  const PixelRows answers = Mixed(modes.transpose(), courses);
  Eigen::VectorXf common = Eigen::VectorXf::Zero(courses.rows());
  for (int round = 0; round < 3; ++round) {
    const Eigen::VectorXf shared = modes.transpose() * common;
    const Eigen::VectorXf answer = (answers.colwise() - shared).colwise().squaredNorm().transpose();
    const std::vector<Eigen::Index> quiet = SomeOfLeastQuarter(pixels, answer);
    Eigen::VectorXd middle(courses.rows());
    std::vector<float> values(quiet.size());
    for (Eigen::Index b = 0; b < courses.rows(); ++b) {
      const float* row = courses.row(b).data();
      for (std::size_t i = 0; i < values.size(); ++i) values[i] = row[quiet[i]];
      middle(b) = MedianOf(values);
    }
    common = model.Project(middle).cast<float>();
  }
  courses.colwise() -= common;
}

Response FitResponse(const PixelRows& courses,
                     const Stack& stack,
                     const Drive& drive,
                     const SourceCourses& sources,
                     const HeatOptions& options,
                     TemporalModel& model) {
  Response out;
  const cv::Size size = stack.size_px();
  out.seen = stack.seen.clone();
  out.out_of_range = stack.out_of_range.clone();
  out.static_k = StaticPicture(stack);
  const CourseSpan span = SpanCourses(stack, model, KindsOfBoth(sources, model, drive));
  const PixelRows in_modes = InModes(span, courses);
  MeasureNoise(courses, in_modes, span, SeenBlur(out.seen, 1.0), out);
  std::vector<Image> modes = AsImages(in_modes, size);
  RemoveShared(out.static_k, out.seen, {}, modes);
  out.detector = Detector(modes, span, out.noise_k, out.static_k, options.misplaced_px, out.seen);
  if (WarmsAsAWhole(stack, sources)) {
    const std::vector<Image> halos = HalosOf(out.detector, out.seen);
    if (!halos.empty()) {
      modes = AsImages(in_modes, size);
      RemoveShared(out.static_k, out.seen, halos, modes);
    }
  }
  out.usual = span.basis * span.usual;
  model.Soften(span.basis, out.detector.covariance());
  out.courses = Softened(courses, modes, span, model, in_modes);

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
