// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <cstddef>

namespace ohmglow {

/// A matrix whose rows are pictures, pixel after pixel.
using PixelRows = Eigen::Matrix<float, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

/// out(r) = (or +=) sum over c of matrix(r, c) in(c), rows of `count` values: a
/// product of a small matrix with a few long rows, one pass over them, wide
/// registers where the machine has them. The same bytes on any machine.
/// @param in_stride, out_stride  values from one row's begin to the next.
void MixRows(const Eigen::MatrixXf& matrix,
             const float* in,
             std::ptrdiff_t in_stride,
             std::ptrdiff_t count,
             bool add,
             float* out,
             std::ptrdiff_t out_stride);

/// matrix * rows.
[[nodiscard]] PixelRows Mixed(const Eigen::MatrixXf& matrix, const PixelRows& rows);

}  // namespace ohmglow
