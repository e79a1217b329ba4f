// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/row_mix.h"

#include <algorithm>

#include "base/in_parallel.h"
#include "base/simd_clones.h"

namespace ohmglow {
namespace {

// Values of a row that are summed up at once, in registers; a piece of all
// rows, copied together since rows a power of two apart share one place in the
// cache; output rows that share a reading.
constexpr int kAtOnce = 16;
constexpr std::ptrdiff_t kPiece = 128;
constexpr Eigen::Index kRowsAtOnce = 4;
constexpr double kWorkAtOnce = 1e6;  // Products; fewer are not worth another thread.

// Eight values, anywhere in memory.
using Lane = float __attribute__((vector_size(32), aligned(4), may_alias));
constexpr std::ptrdiff_t kLane = 8;
static_assert(kAtOnce == 2 * kLane);

// Four output rows of one piece: sums[r] = sum over c of weights[c][r] in[c].
OHMGLOW_SIMD_CLONES
void MixFour(const float* __restrict weights,
             const float* __restrict in,
             std::ptrdiff_t num_in,
             float* __restrict sums) {
  for (std::ptrdiff_t at = 0; at < kPiece; at += kAtOnce) {
    // Each by its name: what is kept in an array is not kept in registers.
    Lane a0 = {}, a1 = {}, b0 = {}, b1 = {}, c0 = {}, c1 = {}, d0 = {}, d1 = {};
    const float* from = in + at;
    const float* weight = weights;
    for (std::ptrdiff_t c = 0; c < num_in; ++c, from += kPiece, weight += kRowsAtOnce) {
      const Lane v0 = *reinterpret_cast<const Lane*>(from);
      const Lane v1 = *reinterpret_cast<const Lane*>(from + kLane);
      a0 += weight[0] * v0;
      a1 += weight[0] * v1;
      b0 += weight[1] * v0;
      b1 += weight[1] * v1;
      c0 += weight[2] * v0;
      c1 += weight[2] * v1;
      d0 += weight[3] * v0;
      d1 += weight[3] * v1;
    }
    const auto store = [&](int r, const Lane& first, const Lane& second) {
      *reinterpret_cast<Lane*>(sums + r * kPiece + at) = first;
      *reinterpret_cast<Lane*>(sums + r * kPiece + at + kLane) = second;
    };
    store(0, a0, a1);
    store(1, b0, b1);
    store(2, c0, c1);
    store(3, d0, d1);
  }
}

}  // namespace

void MixRows(const Eigen::MatrixXf& matrix,
             const float* in,
             std::ptrdiff_t in_stride,
             std::ptrdiff_t count,
             bool add,
             float* out,
             std::ptrdiff_t out_stride) {
  // Weights of four output rows side by side; rows that are not there weigh 0.
  const Eigen::Index num_in = matrix.cols();
  const Eigen::Index groups = (matrix.rows() + kRowsAtOnce - 1) / kRowsAtOnce;
  Eigen::MatrixXf weights = Eigen::MatrixXf::Zero(kRowsAtOnce, groups * num_in);
  for (Eigen::Index r = 0; r < matrix.rows(); ++r) {
    weights.block(r % kRowsAtOnce, r / kRowsAtOnce * num_in, 1, num_in) = matrix.row(r);
  }
  const auto mix_pieces = [&](const cv::Range& pieces) {
    Eigen::MatrixXf piece = Eigen::MatrixXf::Zero(kPiece, num_in);
    Eigen::MatrixXf sums(kPiece, kRowsAtOnce);
    for (int p = pieces.start; p < pieces.end; ++p) {
      const std::ptrdiff_t at = p * kPiece;
      const std::ptrdiff_t length = std::min(kPiece, count - at);
      for (Eigen::Index c = 0; c < num_in; ++c) {
        std::copy_n(in + c * in_stride + at, length, piece.col(c).data());
      }
      for (Eigen::Index g = 0; g < groups; ++g) {
        MixFour(weights.data() + kRowsAtOnce * g * num_in, piece.data(), num_in, sums.data());
        for (Eigen::Index r = 0; r < std::min(kRowsAtOnce, matrix.rows() - g * kRowsAtOnce); ++r) {
          Eigen::Map<Eigen::VectorXf> row(out + (g * kRowsAtOnce + r) * out_stride + at, length);
          if (add) {
            row += sums.col(r).head(length);
          } else {
            row = sums.col(r).head(length);
          }
        }
      }
    }
  };
  // Each value is summed by one thread, whatever their number: the same bytes.
  const auto pieces = static_cast<int>((count + kPiece - 1) / kPiece);
  const double work = static_cast<double>(count) * static_cast<double>(matrix.size());
  if (work < 2 * kWorkAtOnce) {
    mix_pieces({0, pieces});
  } else {
    internal::InRanges(pieces, mix_pieces, work / kWorkAtOnce);
  }
}

PixelRows Mixed(const Eigen::MatrixXf& matrix, const PixelRows& rows) {
  PixelRows out(matrix.rows(), rows.cols());
  MixRows(matrix, rows.data(), rows.cols(), rows.cols(), false, out.data(), out.cols());
  return out;
}

}  // namespace ohmglow
