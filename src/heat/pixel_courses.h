// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <algorithm>

#include "base/in_parallel.h"
#include "heat/drive.h"
#include "heat/row_mix.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// Weighted, projected courses of all pixels, each bin over its middle level:
/// bins x pixels (row-major pixels), so that a pixel's bins stand side by side.
[[nodiscard]] Eigen::MatrixXf PixelCourses(const Stack& stack, const TemporalModel& model);

/// Removes the common offset of the frames (camera drift, shutter steps): the
/// median over the quarter of the pixels whose course has least of the
/// drive's lags in it.
void RemoveCommonOffset(Eigen::MatrixXf& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen);

/// Calls work(first pixel, number of pixels) for all pixels, on threads; all
/// bins of so many pixels fit in the cache.
template <typename Work>
void ForEachPiece(Eigen::Index num_pixels, const Work& work) {
  constexpr Eigen::Index kPiecePx = 512;
  const auto num_pieces = static_cast<int>((num_pixels + kPiecePx - 1) / kPiecePx);
  internal::InParallel(num_pieces, [&](int piece) {
    const Eigen::Index at = piece * kPiecePx;
    work(at, std::min(kPiecePx, num_pixels - at));
  });
}

/// Some pixels' courses, a row a bin: for products along the pixels.
[[nodiscard]] PixelRows RowsOf(const Eigen::MatrixXf& courses, Eigen::Index at, Eigen::Index count);

/// Puts such rows back.
void SetColumns(const PixelRows& rows, Eigen::Index at, Eigen::MatrixXf& courses);

}  // namespace ohmglow
