// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/frame_warp.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/in_parallel.h"
#include "base/simd_clones.h"

namespace ohmglow {
namespace {

constexpr float kKeys = -0.75F;
constexpr double kPixelsAtOnce = 16384;  // Fewer are not worth another thread.

// Shares of two neighbours, linear along a run.
struct Shares {
  float x;
  float step_x;
  float y;
  float step_y;
};

// Keys' kernel at distances 1 + t, t, 1 - t, 2 - t, along both axes.
OHMGLOW_SIMD_CLONES
void CubicRun(const float* __restrict r0,
              const float* __restrict r1,
              const float* __restrict r2,
              const float* __restrict r3,
              Shares shares,
              int count,
              float* __restrict onto) {
  for (int i = 0; i < count; ++i) {
    const auto at = static_cast<float>(i);
    const float t = shares.x + at * shares.step_x;
    const float u = 1 - t;
    const float w0 = kKeys * t * u * u;
    const float w1 = ((kKeys + 2) * t - (kKeys + 3)) * t * t + 1;
    const float w2 = ((kKeys + 2) * u - (kKeys + 3)) * u * u + 1;
    const float w3 = kKeys * u * t * t;
    const float v = shares.y + at * shares.step_y;
    const float q = 1 - v;
    const float a = w0 * r0[i] + w1 * r0[i + 1] + w2 * r0[i + 2] + w3 * r0[i + 3];
    const float b = w0 * r1[i] + w1 * r1[i + 1] + w2 * r1[i + 2] + w3 * r1[i + 3];
    const float c = w0 * r2[i] + w1 * r2[i + 1] + w2 * r2[i + 2] + w3 * r2[i + 3];
    const float d = w0 * r3[i] + w1 * r3[i + 1] + w2 * r3[i + 2] + w3 * r3[i + 3];
    onto[i] += kKeys * v * q * q * a + (((kKeys + 2) * v - (kKeys + 3)) * v * v + 1) * b +
               (((kKeys + 2) * q - (kKeys + 3)) * q * q + 1) * c + kKeys * q * v * v * d;
  }
}

OHMGLOW_SIMD_CLONES
void LinearRun(const float* __restrict r0,
               const float* __restrict r1,
               Shares shares,
               float factor,
               int count,
               float* __restrict onto) {
  for (int i = 0; i < count; ++i) {
    const auto at = static_cast<float>(i);
    const float t = shares.x + at * shares.step_x;
    const float v = shares.y + at * shares.step_y;
    const float a = r0[i] + t * (r0[i + 1] - r0[i]);
    const float b = r1[i] + t * (r1[i + 1] - r1[i]);
    onto[i] += factor * (a + v * (b - a));
  }
}

// Spreads a run of two or more over two source rows: what each source column
// gets from the target left of it and from the one at it, in one pass. The first
// and the last column of the `count + 1` get from one alone.
OHMGLOW_SIMD_CLONES
void SpreadRun(const float* __restrict onto,
               Shares shares,
               float factor,
               int count,
               float* __restrict upper,
               float* __restrict lower) {
  for (int i = 1; i < count; ++i) {
    const auto at = static_cast<float>(i);
    const float t = shares.x + at * shares.step_x;
    const float v = shares.y + at * shares.step_y;
    const float here = factor * onto[i] * (1 - t);
    const float left = factor * onto[i - 1] * (t - shares.step_x);
    const float below = here * v + left * (v - shares.step_y);
    upper[i] += here + left - below;
    lower[i] += below;
  }
}

// Spreads one target pixel over the 2 x 2 source pixels around it.
void SpreadOne(float value, Shares shares, float& a, float& b, float& c, float& d) {
  const float lower = value * shares.y;
  const float upper = value - lower;
  a += upper * (1 - shares.x);
  b += upper * shares.x;
  c += lower * (1 - shares.x);
  d += lower * shares.x;
}

// Target pixels of a row whose source pixels follow one another.
struct Run {
  int begin = 0;
  int count = 0;
  int from_x = 0;  // source column left of the first one
  int from_y = 0;
  Shares shares{};

  [[nodiscard]] Shares At(int i) const {
    const auto at = static_cast<float>(i);
    return {
        shares.x + at * shares.step_x, shares.step_x, shares.y + at * shares.step_y, shares.step_y};
  }
};

// Pixels for which a value at `position`, `slope` a pixel, keeps its whole part.
int Steady(double position, double slope, int most) {
  const double share = position - std::floor(position);
  double steady = most;
  if (slope > 0) steady = std::ceil((1 - share) / slope);
  if (slope < 0) steady = std::floor(share / -slope) + 1;
  return static_cast<int>(std::clamp(steady, 1.0, static_cast<double>(most)));
}

template <typename Work>
void ForEachRun(const cv::Matx23d& map, cv::Size size, int row, const Work& work) {
  for (int x = 0; x < size.width;) {
    // Far beyond the border all is alike.
    const double shift_x = std::clamp(
        (map(0, 0) - 1) * x + map(0, 1) * row + map(0, 2), -2.0 * size.width, 2.0 * size.width);
    const double from_y = std::clamp(
        map(1, 0) * x + map(1, 1) * row + map(1, 2), -2.0 * size.height, 2.0 * size.height);
    const int left = size.width - x;
    Run run;
    run.begin = x;
    run.count = std::min(Steady(shift_x, map(0, 0) - 1, left), Steady(from_y, map(1, 0), left));
    run.from_x = x + static_cast<int>(std::floor(shift_x));
    run.from_y = static_cast<int>(std::floor(from_y));
    run.shares = {static_cast<float>(shift_x - std::floor(shift_x)),
                  static_cast<float>(map(0, 0) - 1),
                  static_cast<float>(from_y - std::floor(from_y)),
                  static_cast<float>(map(1, 0))};
    work(run);
    x += run.count;
  }
}

// The part of a run whose neighbours from `before` to `after` columns away lie
// in the picture goes to `inner` as a whole, the rest to `rim` one by one.
template <typename Inner, typename Rim>
void Split(const Run& run, int width, int before, int after, const Inner& inner, const Rim& rim) {
  const int begin = std::clamp(before - run.from_x, 0, run.count);
  const int end = std::clamp(width - after - run.from_x, begin, run.count);
  for (int i = 0; i < begin; ++i) rim(i);
  if (end > begin) inner(begin, end - begin);
  for (int i = end; i < run.count; ++i) rim(i);
}

}  // namespace

Warp::Warp(const cv::Matx23d& from_onto, cv::Size size_px) : map_(from_onto), size_px_(size_px) {}

void Warp::AddCubic(const Image& from, Image& onto) const {
  const auto column = [&](int x) { return std::clamp(x, 0, size_px_.width - 1); };
  const auto add_row = [&](int y) {
    ForEachRun(map_, size_px_, y, [&](const Run& run) {
      std::array<const float*, 4> rows{};
      for (int j = 0; j < 4; ++j) {
        rows[static_cast<std::size_t>(j)] =
            from[std::clamp(run.from_y - 1 + j, 0, size_px_.height - 1)];
      }
      float* out = onto[y] + run.begin;
      const auto inner = [&](int i, int count) {
        const int first = run.from_x + i - 1;
        CubicRun(rows[0] + first,
                 rows[1] + first,
                 rows[2] + first,
                 rows[3] + first,
                 run.At(i),
                 count,
                 out + i);
      };
      const auto rim = [&](int i) {
        std::array<std::array<float, 4>, 4> near{};
        for (std::size_t j = 0; j < 4; ++j) {
          for (int k = 0; k < 4; ++k) {
            near[j][static_cast<std::size_t>(k)] = rows[j][column(run.from_x + i - 1 + k)];
          }
        }
        CubicRun(
            near[0].data(), near[1].data(), near[2].data(), near[3].data(), run.At(i), 1, out + i);
      };
      Split(run, size_px_.width, 1, 2, inner, rim);
    });
  };
  internal::InRanges(
      size_px_.height,
      [&](const cv::Range& rows) {
        for (int y = rows.start; y < rows.end; ++y) add_row(y);
      },
      static_cast<double>(size_px_.area()) / kPixelsAtOnce);
}

void Warp::AddLinear(
    const Image& from, float factor, int first_row, int num_rows, float* onto) const {
  const auto column = [&](int x) { return std::clamp(x, 0, size_px_.width - 1); };
  for (int y = first_row; y < first_row + num_rows; ++y, onto += size_px_.width) {
    ForEachRun(map_, size_px_, y, [&](const Run& run) {
      const float* upper = from[std::clamp(run.from_y, 0, size_px_.height - 1)];
      const float* lower = from[std::clamp(run.from_y + 1, 0, size_px_.height - 1)];
      float* out = onto + run.begin;
      const auto inner = [&](int i, int count) {
        LinearRun(
            upper + run.from_x + i, lower + run.from_x + i, run.At(i), factor, count, out + i);
      };
      const auto rim = [&](int i) {
        const int left = column(run.from_x + i);
        const int right = column(run.from_x + i + 1);
        const std::array<float, 2> a = {upper[left], upper[right]};
        const std::array<float, 2> b = {lower[left], lower[right]};
        LinearRun(a.data(), b.data(), run.At(i), factor, 1, out + i);
      };
      Split(run, size_px_.width, 0, 1, inner, rim);
    });
  }
}

void Warp::SpreadLinear(
    const float* onto, float factor, int first_row, int num_rows, Image& from) const {
  const auto column = [&](int x) { return std::clamp(x, 0, size_px_.width - 1); };
  for (int y = first_row; y < first_row + num_rows; ++y, onto += size_px_.width) {
    ForEachRun(map_, size_px_, y, [&](const Run& run) {
      const float* values = onto + run.begin;
      float* upper = from[std::clamp(run.from_y, 0, size_px_.height - 1)];
      float* lower = from[std::clamp(run.from_y + 1, 0, size_px_.height - 1)];
      const auto rim = [&](int i) {
        const int left = column(run.from_x + i);
        const int right = column(run.from_x + i + 1);
        SpreadOne(
            factor * values[i], run.At(i), upper[left], upper[right], lower[left], lower[right]);
      };
      const auto inner = [&](int i, int count) {
        if (upper == lower || count < 2) {
          for (int k = i; k < i + count; ++k) rim(k);
          return;
        }
        const int first = run.from_x + i;
        SpreadRun(values + i, run.At(i), factor, count, upper + first, lower + first);
        // What the ends get from one side alone.
        float none = 0;
        const Shares begin = run.At(i);
        const Shares end = run.At(i + count - 1);
        float* last_upper = upper + first + count;
        float* last_lower = lower + first + count;
        SpreadOne(factor * values[i], begin, upper[first], none, lower[first], none);
        SpreadOne(factor * values[i + count - 1], end, none, *last_upper, none, *last_lower);
      };
      Split(run, size_px_.width, 0, 1, inner, rim);
    });
  }
}

}  // namespace ohmglow
