// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/pixel_courses.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <vector>

#include "base/decompose.h"
#include "base/median.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Span of what heat does, for what is not heat.
constexpr std::array kLagsS = {0.3, 0.7, 1.5, 3.0, 6.0, 12.0};
constexpr int kHeatModes = 3;

// Orthonormal basis of the lags' projected responses.
Eigen::MatrixXf HeatModes(const TemporalModel& model, const Drive& drive) {
  const Eigen::MatrixXd lags = model.ProjectedLags(
      drive, Eigen::Map<const Eigen::VectorXd>(kLagsS.data(), kLagsS.size()), 2);
  return LeftSingular(lags).vectors.leftCols(kHeatModes).cast<float>();
}

// Takes the nuisance out of rows: what a model takes has few directions.
class RowProjector {
 public:
  explicit RowProjector(const TemporalModel& model) {
    Eigen::MatrixXd taken = Eigen::MatrixXd::Identity(model.num_bins(), model.num_bins());
    for (Eigen::Index i = 0; i < taken.cols(); ++i) {
      taken.col(i) -= model.Project(Eigen::VectorXd::Unit(taken.rows(), i));
    }
    const Eigen::MatrixXd directions = RangeOf(taken, 1e-9);
    into_ = (directions.transpose() * taken).cast<float>();
    out_of_ = -directions.cast<float>();
  }

  void Take(PixelRows& rows) const {
    const PixelRows taken = Mixed(into_, rows);
    MixRows(out_of_, taken.data(), rows.cols(), rows.cols(), true, rows.data(), rows.cols());
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

// Pixels that are turned at once: as many floats as a line of the cache holds.
constexpr Eigen::Index kAtOnce = 16;

}  // namespace

PixelRows RowsOf(const Eigen::MatrixXf& courses, Eigen::Index at, Eigen::Index count) {
  const Eigen::Index num_bins = courses.rows();
  PixelRows rows(num_bins, count);
  for (Eigen::Index first = 0; first < count; first += kAtOnce) {
    const float* columns = courses.col(at + first).data();
    const Eigen::Index num = std::min(kAtOnce, count - first);
    for (Eigen::Index b = 0; b < num_bins; ++b) {
      float* row = rows.row(b).data() + first;
      for (Eigen::Index i = 0; i < num; ++i) row[i] = columns[i * num_bins + b];
    }
  }
  return rows;
}

void SetColumns(const PixelRows& rows, Eigen::Index at, Eigen::MatrixXf& courses) {
  const Eigen::Index num_bins = courses.rows();
  for (Eigen::Index first = 0; first < rows.cols(); first += kAtOnce) {
    float* columns = courses.col(at + first).data();
    const Eigen::Index num = std::min(kAtOnce, rows.cols() - first);
    for (Eigen::Index b = 0; b < num_bins; ++b) {
      const float* row = rows.row(b).data() + first;
      for (Eigen::Index i = 0; i < num; ++i) columns[i * num_bins + b] = row[i];
    }
  }
}

Eigen::MatrixXf PixelCourses(const Stack& stack, const TemporalModel& model) {
  const std::vector<float> levels = BinLevels(stack);  // Exact up to RemoveCommonOffset().
  const RowProjector projector(model);
  Eigen::MatrixXf courses(stack.size(), stack.size_px().area());
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    PixelRows rows(courses.rows(), count);
    for (Eigen::Index b = 0; b < rows.rows(); ++b) {
      const auto bin = static_cast<std::size_t>(b);
      const Eigen::Map<const Eigen::RowVectorXf> pixels(stack.bins_k[bin].ptr<float>() + at, count);
      rows.row(b) = static_cast<float>(model.weight()(b)) * (pixels.array() - levels[bin]).matrix();
    }
    projector.Take(rows);
    SetColumns(rows, at, courses);
  });
  return courses;
}

void RemoveCommonOffset(Eigen::MatrixXf& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen) {
  std::vector<Eigen::Index> pixels;
  for (int i = 0; i < static_cast<int>(seen.total()); ++i) {
    if (seen.data[i] != 0) pixels.push_back(i);
  }
  if (pixels.size() < 16) throw DataError("too few pixels were seen in all frames: hold still");
  const Eigen::MatrixXf modes = HeatModes(model, drive);
  const Eigen::MatrixXf into = modes.transpose();
  PixelRows answers(into.rows(), courses.cols());
  ForEachPiece(courses.cols(), [&](Eigen::Index at, Eigen::Index count) {
    answers.middleCols(at, count) = Mixed(into, RowsOf(courses, at, count));
  });
  Eigen::VectorXf common = Eigen::VectorXf::Zero(courses.rows());
  for (int round = 0; round < 3; ++round) {
    const Eigen::VectorXf shared = modes.transpose() * common;
    const Eigen::VectorXf answer = (answers.colwise() - shared).colwise().squaredNorm().transpose();
    const std::vector<Eigen::Index> quiet = SomeOfLeastQuarter(pixels, answer);
    PixelRows values(courses.rows(), static_cast<Eigen::Index>(quiet.size()));
    for (std::size_t i = 0; i < quiet.size(); ++i) {
      values.col(static_cast<Eigen::Index>(i)) = courses.col(quiet[i]);
    }
    Eigen::VectorXd middle(courses.rows());
    internal::InParallel(static_cast<int>(values.rows()), [&](int b) {
      float* row = values.row(b).data();
      std::vector<float> sorted(row, row + values.cols());
      middle(b) = MedianOf(sorted);
    });
    common = model.Project(middle).cast<float>();
  }
  courses.colwise() -= common;
}

}  // namespace ohmglow
