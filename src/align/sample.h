// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <opencv2/core/hal/intrin.hpp>

#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Places of an image by cubic convolution, four taps at once: the weights are
/// cubics in the fraction t, lane by lane. The same bits on every x86-64: no
/// fused multiply-add unless the compiler's target has it.
/// Source: Keys, IEEE Trans. Acoust. Speech Signal Process. 29 (1981)
/// 1153-1160, a = -1/2.
class CubicSampler {
 public:
  explicit CubicSampler(const Image& image)
      : data_(image[0]),
        stride_(image.step1()),
        right_(static_cast<float>(image.cols - 2)),
        bottom_(static_cast<float>(image.rows - 2)) {}

  /// The value at column x, row y; false, and no value, where the 4 x 4
  /// neighbours do not all lie in the image.
  [[nodiscard]] bool At(float x, float y, float& value) const {
    if (!(x >= 1 && y >= 1 && x < right_ && y < bottom_)) return false;
    const int c = static_cast<int>(x);
    const int r = static_cast<int>(y);
    const float* p = data_ + static_cast<std::size_t>(r - 1) * stride_ + (c - 1);
    const cv::v_float32x4 u = Weights(x - static_cast<float>(c));
    float v[4];
    cv::v_store(v, Weights(y - static_cast<float>(r)));
    cv::v_float32x4 sum = cv::v_load(p) * cv::v_setall_f32(v[0]);
    sum += cv::v_load(p + stride_) * cv::v_setall_f32(v[1]);
    sum += cv::v_load(p + 2 * stride_) * cv::v_setall_f32(v[2]);
    sum += cv::v_load(p + 3 * stride_) * cv::v_setall_f32(v[3]);
    value = cv::v_reduce_sum(sum * u);
    return true;
  }

 private:
  static cv::v_float32x4 Weights(float t) {
    const cv::v_float32x4 x = cv::v_setall_f32(t);
    const cv::v_float32x4 cubic(-0.5F, 1.5F, -1.5F, 0.5F);
    const cv::v_float32x4 square(1.0F, -2.5F, 2.0F, -0.5F);
    const cv::v_float32x4 linear(-0.5F, 0.0F, 0.5F, 0.0F);
    const cv::v_float32x4 constant(0.0F, 1.0F, 0.0F, 0.0F);
    return ((cubic * x + square) * x + linear) * x + constant;
  }

  const float* data_;
  std::size_t stride_;
  float right_, bottom_;
};

}  // namespace ohmglow::internal
