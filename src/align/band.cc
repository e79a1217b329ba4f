// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/band.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <opencv2/core/hal/intrin.hpp>
#include <vector>

#include "align/robust.h"
#include "base/simd_clones.h"

namespace ohmglow::internal {
namespace {

constexpr int kBox = 7;
constexpr int kReach = 3;  // Of the box and of the fine Gaussian.
constexpr float kClipSpreads = 1.5F;
constexpr std::size_t kSpreadStep = 23;  // Every n-th pixel is enough for a median.

// exp(-k^2 / 2) for k = 0 .. 3, over their sum of seven.
constexpr std::array<float, 4> kFine{0.399050F, 0.242036F, 0.054006F, 0.004433F};

int Mirrored(int i, int n) {
  if (i < 0) return -i;
  return i < n ? i : 2 * n - 2 - i;
}

// The line with `reach` mirrored values before and after.
void Pad(const float* line, int n, int reach, std::vector<float>& out) {
  out.resize(static_cast<std::size_t>(n + 2 * reach));
  for (int i = 0; i < reach; ++i) {
    out[static_cast<std::size_t>(i)] = line[reach - i];
    out[static_cast<std::size_t>(n + reach + i)] = line[n - 2 - i];
  }
  std::copy(line, line + n, out.begin() + reach);
}

OHMGLOW_SIMD_CLONES
void FineOf(const Image& image, float origin, Image& out) {
  const int n = image.cols;
  out.create(image.size());
  std::vector<float> line(static_cast<std::size_t>(n)), padded;
  for (int r = 0; r < image.rows; ++r) {
    const auto row = [&](int k) { return image[Mirrored(r + k, image.rows)]; };
    const float *a = row(0), *b1 = row(-1), *c1 = row(1), *b2 = row(-2), *c2 = row(2),
                *b3 = row(-3), *c3 = row(3);
    float* l = line.data();
    for (int c = 0; c < n; ++c) {
      l[c] = kFine[0] * (a[c] - origin) + kFine[1] * (b1[c] + c1[c] - 2 * origin) +
             kFine[2] * (b2[c] + c2[c] - 2 * origin) + kFine[3] * (b3[c] + c3[c] - 2 * origin);
    }
    Pad(l, n, kReach, padded);
    const float* p = padded.data();
    float* o = out[r];
    for (int c = 0; c < n; ++c) {
      o[c] = kFine[0] * p[c + 3] + kFine[1] * (p[c + 2] + p[c + 4]) +
             kFine[2] * (p[c + 1] + p[c + 5]) + kFine[3] * (p[c] + p[c + 6]);
    }
  }
}

// Sums of seven rows.
OHMGLOW_SIMD_CLONES
void SumRows(const Image& image, Image& out) {
  const int n = image.cols;
  out.create(image.size());
  std::vector<float> sum(static_cast<std::size_t>(n), 0.0F);
  float* s = sum.data();
  for (int k = -kReach; k <= kReach; ++k) {
    const float* row = image[Mirrored(k, image.rows)];
    for (int c = 0; c < n; ++c) s[c] += row[c];
  }
  for (int r = 0; r < image.rows; ++r) {
    if (r > 0) {
      const float* in = image[Mirrored(r + kReach, image.rows)];
      const float* gone = image[Mirrored(r - kReach - 1, image.rows)];
      for (int c = 0; c < n; ++c) s[c] += in[c] - gone[c];
    }
    std::copy(s, s + n, out[r]);
  }
}

// out[i] = x[i] + ... + x[i + 6] for i in 0 .. n - 1.
OHMGLOW_SIMD_CLONES
void SumSeven(const float* x, int n, std::vector<float>& twos, float* out) {
  twos.resize(static_cast<std::size_t>(n + kBox - 1));
  float* t = twos.data();
  for (int i = 0; i < n + kBox - 2; ++i) t[i] = x[i] + x[i + 1];
  for (int i = 0; i < n; ++i) out[i] = t[i] + t[i + 2] + t[i + 4] + x[i + 6];
}

// Adds each value clipped to +-limit, and counts those inside.
OHMGLOW_SIMD_CLONES
void AddClipped(const float* v, int n, float limit, float* sum, float* inside) {
  for (int c = 0; c < n; ++c) {
    sum[c] += std::min(std::max(v[c], -limit), limit);
    inside[c] += std::abs(v[c]) < limit ? 1.0F : 0.0F;
  }
}

// The same over a row, four values at a time.
float RowOffset(const float* v, int n, float limit) {
  const cv::v_float32x4 high = cv::v_setall_f32(limit);
  const cv::v_float32x4 low = cv::v_setall_f32(-limit);
  const cv::v_float32x4 one = cv::v_setall_f32(1);
  cv::v_float32x4 sums = cv::v_setzero_f32();
  cv::v_float32x4 insides = cv::v_setzero_f32();
  int c = 0;
  for (; c + 4 <= n; c += 4) {
    const cv::v_float32x4 x = cv::v_load(v + c);
    sums += cv::v_min(cv::v_max(x, low), high);
    insides += one & (cv::v_abs(x) < high);
  }
  float sum = cv::v_reduce_sum(sums);
  float inside = cv::v_reduce_sum(insides);
  for (; c < n; ++c) {
    AddClipped(v + c, 1, limit, &sum, &inside);
  }
  return sum / std::max(inside, 0.5F * static_cast<float>(n));
}

}  // namespace

void BandOf(const Image& image_k, BandScratch& scratch, Image& out_k) {
  auto& [fine, once, twice, padded, line, twos] = scratch;
  // Nearer to zero, single precision keeps what the sums need.
  FineOf(image_k, image_k(image_k.rows / 2, image_k.cols / 2), fine);
  SumRows(fine, once);
  SumRows(once, twice);
  constexpr float kShare = 1.0F / (kBox * kBox * kBox * kBox);
  const int n = fine.cols;
  line.resize(static_cast<std::size_t>(n + 2 * kReach));
  out_k.create(fine.size());
  for (int r = 0; r < fine.rows; ++r) {
    Pad(twice[r], n, 2 * kReach, padded);
    SumSeven(padded.data(), n + 2 * kReach, twos, line.data());
    float* o = out_k[r];
    SumSeven(line.data(), n, twos, o);
    const float* f = fine[r];
    for (int c = 0; c < n; ++c) o[c] = f[c] - kShare * o[c];
  }
}

void RemoveColumnsAndRows(Image& image_k) {
  std::vector<float> sampled;
  for (std::size_t i = 0; i < image_k.total(); i += kSpreadStep) {
    sampled.push_back(
        std::abs(image_k(static_cast<int>(i) / image_k.cols, static_cast<int>(i) % image_k.cols)));
  }
  const auto limit = static_cast<float>(kSigmasPerMad) * kClipSpreads * MedianInPlace(sampled);
  const int n = image_k.cols;
  std::vector<float> sums(static_cast<std::size_t>(n), 0.0F), insides = sums;
  float* sum = sums.data();
  float* inside = insides.data();
  for (int r = 0; r < image_k.rows; ++r) AddClipped(image_k[r], n, limit, sum, inside);
  const float least = 0.5F * static_cast<float>(image_k.rows);
  for (int c = 0; c < n; ++c) sum[c] /= std::max(inside[c], least);
  for (int r = 0; r < image_k.rows; ++r) {
    float* v = image_k[r];
    for (int c = 0; c < n; ++c) v[c] -= sum[c];
    const float offset = RowOffset(v, n, limit);
    for (int c = 0; c < n; ++c) v[c] -= offset;
  }
}

}  // namespace ohmglow::internal
