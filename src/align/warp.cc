// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/warp.h"

#include <algorithm>
#include <cmath>

#include "align/sample.h"
#include "base/simd_clones.h"

namespace ohmglow::internal {
namespace {

// A linear function of the column; its whole part stays the same over long
// runs of columns, in which all loads are contiguous.
struct Ramp {
  double at_zero;
  double slope;

  [[nodiscard]] double At(int c) const { return at_zero + slope * c; }

  // One past the last column of the run that starts at `begin` with whole part
  // `whole`.
  [[nodiscard]] int RunEnd(int begin, int whole, int columns) const {
    if (slope == 0) return columns;
    const double edge = slope > 0 ? (whole + 1 - at_zero) / slope : (whole - at_zero) / slope;
    const int end = static_cast<int>(std::ceil(std::clamp(edge, 0.0, 1e8)));
    return std::clamp(end, begin + 1, columns);
  }
};

// Of four rows, between the second and the third.
OHMGLOW_SIMD_CLONES
void MixRows(const float* __restrict p0,
             const float* __restrict p1,
             const float* __restrict p2,
             const float* __restrict p3,
             float origin,
             float slope,
             int begin,
             int end,
             float* __restrict out) {
  for (int c = begin; c < end; ++c) {
    const auto w = CubicWeights(origin + slope * static_cast<float>(c));
    out[c] = w[0] * p0[c] + w[1] * p1[c] + w[2] * p2[c] + w[3] * p3[c];
  }
}

// Of four neighbours in a row, between the second and the third.
OHMGLOW_SIMD_CLONES
void MixNeighbours(const float* __restrict p,
                   float origin,
                   float slope,
                   int begin,
                   int end,
                   float* __restrict out) {
  for (int c = begin; c < end; ++c) {
    const auto w = CubicWeights(origin + slope * static_cast<float>(c));
    out[c] = w[0] * p[c - 1] + w[1] * p[c] + w[2] * p[c + 1] + w[3] * p[c + 2];
  }
}

// out[c] = source interpolated at row `row(c)`, column c.
void InterpolateColumns(const Image& source, const Ramp& row, float* out) {
  const auto clamped = [&](int r) { return source[std::clamp(r, 0, source.rows - 1)]; };
  for (int begin = 0; begin < source.cols;) {
    const int whole = static_cast<int>(std::floor(row.At(begin)));
    const int end = row.RunEnd(begin, whole, source.cols);
    const float* p0 = clamped(whole - 1);
    const float* p1 = clamped(whole);
    const float* p2 = clamped(whole + 1);
    const float* p3 = clamped(whole + 2);
    const float origin = static_cast<float>(row.at_zero - whole);
    const float slope = static_cast<float>(row.slope);
    MixRows(p0, p1, p2, p3, origin, slope, begin, end, out);
    begin = end;
  }
}

// out[c] = line interpolated at column `column(c)`; both of the same length.
void InterpolateLine(const float* line, int columns, const Ramp& column, float* out) {
  const auto clamped = [&](int c) { return line[std::clamp(c, 0, columns - 1)]; };
  // Source columns relative to the output column stay the same over a run.
  const Ramp lead{column.at_zero, column.slope - 1};
  for (int begin = 0; begin < columns;) {
    const int whole = static_cast<int>(std::floor(lead.At(begin)));
    const int end = lead.RunEnd(begin, whole, columns);
    const float origin = static_cast<float>(lead.at_zero - whole);
    const float slope = static_cast<float>(lead.slope);
    const int inner_begin = std::clamp(1 - whole, begin, end);
    const int inner_end = std::clamp(columns - 2 - whole, inner_begin, end);
    const auto at_border = [&](int c) {
      const auto w = CubicWeights(origin + slope * static_cast<float>(c));
      const int i = c + whole;
      out[c] =
          w[0] * clamped(i - 1) + w[1] * clamped(i) + w[2] * clamped(i + 1) + w[3] * clamped(i + 2);
    };
    for (int c = begin; c < inner_begin; ++c) at_border(c);
    MixNeighbours(line + whole, origin, slope, inner_begin, inner_end, out);
    for (int c = inner_end; c < end; ++c) at_border(c);
    begin = end;
  }
}

// Maps with perspective: every place by itself.
void WarpPlaces(const Image& source, const PlaneMap& map, Image& out) {
  const CubicSampler sampler(source);
  const cv::Matx33f m(map.matrix);
  const float right = static_cast<float>(source.cols) - 2.001F;
  const float bottom = static_cast<float>(source.rows) - 2.001F;
  for (int r = 0; r < source.rows; ++r) {
    const float y = static_cast<float>(r);
    float* o = out[r];
    for (int c = 0; c < source.cols; ++c) {
      const float x = static_cast<float>(c);
      const float w = 1 / (m(2, 0) * x + m(2, 1) * y + m(2, 2));
      const float u = (m(0, 0) * x + m(0, 1) * y + m(0, 2)) * w;
      const float v = (m(1, 0) * x + m(1, 1) * y + m(1, 2)) * w;
      if (!sampler.At(std::clamp(u, 1.0F, right), std::clamp(v, 1.0F, bottom), o[c])) o[c] = 0;
    }
  }
}

}  // namespace

void Warp(const Image& source, const Motion& motion, Image& out) {
  const PlaneMap map = ToPlaneMap(motion, source.size());
  const cv::Matx33d& m = map.matrix;
  out.create(source.size());
  if (m(2, 0) != 0 || m(2, 1) != 0) {
    WarpPlaces(source, map, out);
    return;
  }
  // x' = a x + b y + p, y' = c x + d y + q, taken as y' of (x', y), then x' of
  // (x, y).
  const double along = m(1, 0) / m(0, 0);
  Image line(1, source.cols);
  for (int y = 0; y < source.rows; ++y) {
    const double lead = m(0, 1) * y + m(0, 2);
    const Ramp row{m(1, 1) * y + m(1, 2) - along * lead, along};
    InterpolateColumns(source, row, line[0]);
    InterpolateLine(line[0], source.cols, Ramp{lead, m(0, 0)}, out[y]);
  }
}

Columns InsideOf(cv::Size size_px, const PlaneMap& map, int y, double margin_px) {
  const double right = size_px.width - 1 - margin_px;
  const double bottom = size_px.height - 1 - margin_px;
  const auto inside = [&](int x) {
    const Point p = map.Apply(Point(x, y));
    return p.x >= margin_px && p.x <= right && p.y >= margin_px && p.y <= bottom;
  };
  Columns columns{0, size_px.width};
  while (columns.begin < columns.end && !inside(columns.begin)) ++columns.begin;
  while (columns.begin < columns.end && !inside(columns.end - 1)) --columns.end;
  return columns;
}

}  // namespace ohmglow::internal
