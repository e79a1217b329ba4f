// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/frame_warp.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/in_parallel.h"
#include "base/lane.h"
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

// Runs are worked on eight pixels at a time, the last time beyond the run's end: what lies
// there is left as it is. Where the row ends first, the rest is left to be done one by one.
using internal::kLane;
using internal::Lane;
using internal::LaneAt;
constexpr Lane kSteps = {0, 1, 2, 3, 4, 5, 6, 7};

// Keys' kernel at distances 1 + t, t, 1 - t, 2 - t, along both axes.
// @param of  of(row, column): the 4 x 4 neighbours.
template <typename T, typename Neighbours>
[[gnu::always_inline]] inline void Cubic(const T& t, const T& v, const Neighbours& of, T& sum) {
  const T u = 1.0F - t;
  const T w0 = kKeys * t * u * u;
  const T w1 = ((kKeys + 2) * t - (kKeys + 3)) * t * t + 1.0F;
  const T w2 = ((kKeys + 2) * u - (kKeys + 3)) * u * u + 1.0F;
  const T w3 = kKeys * u * t * t;
  const T q = 1.0F - v;
  const T a = w0 * of(0, 0) + w1 * of(0, 1) + w2 * of(0, 2) + w3 * of(0, 3);
  const T b = w0 * of(1, 0) + w1 * of(1, 1) + w2 * of(1, 2) + w3 * of(1, 3);
  const T c = w0 * of(2, 0) + w1 * of(2, 1) + w2 * of(2, 2) + w3 * of(2, 3);
  const T d = w0 * of(3, 0) + w1 * of(3, 1) + w2 * of(3, 2) + w3 * of(3, 3);
  sum = kKeys * v * q * q * a + (((kKeys + 2) * v - (kKeys + 3)) * v * v + 1.0F) * b +
        (((kKeys + 2) * q - (kKeys + 3)) * q * q + 1.0F) * c + kKeys * q * v * v * d;
}

// @param room  pixels from the run's first one on whose neighbours lie in the rows.
// @returns     how many pixels of the run are done.
OHMGLOW_SIMD_CLONES
int CubicRun(const float* r0,
             const float* r1,
             const float* r2,
             const float* r3,
             Shares shares,
             int count,
             int room,
             float* onto) {
  const Lane none = {};
  int i = 0;
  for (; i < count && i + kLane <= room; i += kLane) {
    const Lane at = static_cast<float>(i) + kSteps;
    const Lane t = shares.x + at * shares.step_x;
    const Lane v = shares.y + at * shares.step_y;
    const std::array<const float*, 4> rows = {r0 + i, r1 + i, r2 + i, r3 + i};
    Lane sum;
    Cubic(
        t,
        v,
        [&rows](std::size_t row, int column) -> const Lane& { return LaneAt(rows[row] + column); },
        sum);
    LaneAt(onto + i) += at < static_cast<float>(count) ? sum : none;
  }
  return std::min(i, count);
}

// @param room, @returns  as of CubicRun().
OHMGLOW_SIMD_CLONES
int LinearRun(const float* upper,
              const float* lower,
              Shares shares,
              float factor,
              int count,
              int room,
              float* onto) {
  const Lane none = {};
  int i = 0;
  for (; i < count && i + kLane <= room; i += kLane) {
    const Lane at = static_cast<float>(i) + kSteps;
    const Lane t = shares.x + at * shares.step_x;
    const Lane v = shares.y + at * shares.step_y;
    const Lane a = LaneAt(upper + i) + t * (LaneAt(upper + i + 1) - LaneAt(upper + i));
    const Lane b = LaneAt(lower + i) + t * (LaneAt(lower + i + 1) - LaneAt(lower + i));
    const Lane sum = factor * (a + v * (b - a));
    LaneAt(onto + i) += at < static_cast<float>(count) ? sum : none;
  }
  return std::min(i, count);
}

// Spreads the targets of a run over two source rows: what each source column gets from the
// target left of it and from the one at it, in one pass. The first of the columns is left
// out, and so is what the first column after those that were done gets from its left.
// @param room  columns from the run's first one on that lie in the rows, and targets.
// @returns     how many targets are done.
OHMGLOW_SIMD_CLONES
int SpreadRun(const float* values,
              Shares shares,
              float factor,
              int count,
              int room,
              float* upper,
              float* lower) {
  const Lane none = {};
  const auto last = static_cast<float>(count);
  int i = 1;
  for (; i <= count && i + kLane <= room; i += kLane) {
    const Lane at = static_cast<float>(i) + kSteps;
    const Lane t = shares.x + at * shares.step_x;
    const Lane v = shares.y + at * shares.step_y;
    const Lane own = factor * LaneAt(values + i) * (1.0F - t);
    const Lane here = at < last ? own : none;
    const Lane left = factor * LaneAt(values + i - 1) * (t - shares.step_x);
    const Lane below = here * v + left * (v - shares.step_y);
    const Lane rest = here + left - below;
    LaneAt(upper + i) += at <= last ? rest : none;
    LaneAt(lower + i) += at <= last ? below : none;
  }
  return std::min(i, count + 1);
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

// Rounded down; of numbers that an int holds far quicker than std::floor().
int Whole(double value) {
  const int cut = static_cast<int>(value);
  return value < cut ? cut - 1 : cut;
}

// Pixels for which a value, `share` above its whole part, keeps that, at `slope` a pixel.
int Steady(double share, double slope, int most) {
  if (slope == 0) return most;
  const double steady = slope > 0 ? (1 - share) / slope : share / -slope;
  if (!(steady < most)) return most;
  const int whole = static_cast<int>(steady);
  if (slope < 0) return std::min(whole + 1, most);
  return std::max(whole < steady ? whole + 1 : whole, 1);
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
    const int whole_x = Whole(shift_x);
    const int whole_y = Whole(from_y);
    const double share_x = shift_x - whole_x;
    const double share_y = from_y - whole_y;
    Run run;
    run.begin = x;
    run.count = std::min(Steady(share_x, map(0, 0) - 1, left), Steady(share_y, map(1, 0), left));
    run.from_x = x + whole_x;
    run.from_y = whole_y;
    run.shares = {static_cast<float>(share_x),
                  static_cast<float>(map(0, 0) - 1),
                  static_cast<float>(share_y),
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
      const auto rim = [&](int i) {
        const Shares at = run.At(i);
        float sum = 0;
        Cubic(
            at.x,
            at.y,
            [&](std::size_t j, int k) { return rows[j][column(run.from_x + i - 1 + k)]; },
            sum);
        out[i] += sum;
      };
      const auto inner = [&](int i, int count) {
        const int first = run.from_x + i - 1;
        const int room = size_px_.width - std::max(run.begin + i, first + 3);
        const int done = CubicRun(rows[0] + first,
                                  rows[1] + first,
                                  rows[2] + first,
                                  rows[3] + first,
                                  run.At(i),
                                  count,
                                  room,
                                  out + i);
        for (int k = i + done; k < i + count; ++k) rim(k);
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
      const auto rim = [&](int i) {
        const int left = column(run.from_x + i);
        const int right = column(run.from_x + i + 1);
        const Shares at = run.At(i);
        const float a = upper[left] + at.x * (upper[right] - upper[left]);
        const float b = lower[left] + at.x * (lower[right] - lower[left]);
        out[i] += factor * (a + at.y * (b - a));
      };
      const auto inner = [&](int i, int count) {
        const int first = run.from_x + i;
        const int room = size_px_.width - std::max(run.begin + i, first + 1);
        const int done =
            LinearRun(upper + first, lower + first, run.At(i), factor, count, room, out + i);
        for (int k = i + done; k < i + count; ++k) rim(k);
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
        const int room = size_px_.width - std::max(run.begin + i, first);
        const int done =
            SpreadRun(values + i, run.At(i), factor, count, room, upper + first, lower + first);
        float none = 0;
        const auto half = [&](int k, float& up_left, float& up, float& low_left, float& low) {
          SpreadOne(factor * values[k], run.At(k), up_left, up, low_left, low);
        };
        // The first column has nothing on its left.
        half(i, upper[first], none, lower[first], none);
        if (done > count) return;
        const int next = first + done;
        half(i + done - 1, none, upper[next], none, lower[next]);
        for (int k = i + done; k < i + count; ++k) rim(k);
      };
      Split(run, size_px_.width, 0, 1, inner, rim);
    });
  }
}

}  // namespace ohmglow
