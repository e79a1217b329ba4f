// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/color_bar.h"

#include <algorithm>
#include <cmath>

#include "input/nothing.h"

namespace ohmglow {
namespace {

// What compression does to a strip that stays, values of 255.
constexpr float kStill = 16;
constexpr float kBack = 5;
// Two neighbours of a strip differ by no more; an edge of the scene does.
constexpr float kStep = 28;
// A strip shows so much of the row, is so long, and so much longer than wide.
constexpr float kLeastSpan = 150;
constexpr double kLeastLength = 0.25;
constexpr int kLeastLengthPx = 24;
constexpr double kSlender = 4;
constexpr int kLeastWidthPx = 2;
constexpr int kRaggedPx = 4;
constexpr float kAlike = 20;
constexpr int kSmooth = 2;
// Beside it lies something else along so much of its length: a scene has no such sides.
constexpr double kLeastCutOff = 0.6;
constexpr float kOther = 14;
constexpr int kRimPx = 2;  // Mixed colours, or a frame around it.

// Means of what stays from picture to picture; NaN elsewhere.
Image StillValues(const std::vector<Image>& pictures) {
  Image least = pictures.front().clone();
  Image most = least.clone();
  Image sum(least.size(), 0.0F);
  for (const Image& picture : pictures) {
    for (int y = 0; y < sum.rows; ++y) {
      for (int x = 0; x < sum.cols; ++x) {
        const float value = picture(y, x);
        sum(y, x) += value;  // NaN stays.
        least(y, x) = std::min(least(y, x), value);
        most(y, x) = std::max(most(y, x), value);
      }
    }
  }
  sum *= 1.0 / static_cast<double>(pictures.size());
  sum.setTo(kNothing, most - least > kStill);
  return sum;
}

// Places from `first` to `last` of a line that runs one way.
struct Run {
  int first = 0;
  int last = -1;
  float span = 0;
  [[nodiscard]] int length() const { return last - first + 1; }
};

// The run of a column that spans most, falling (sign 1) or rising (sign -1) downwards.
Run LongestRun(const Image& still, int x, float sign) {
  Run best;
  Run run;
  float extreme = 0;
  for (int y = 0; y < still.rows; ++y) {
    const float value = sign * still(y, x);
    const float before = y > 0 ? sign * still(y - 1, x) : kNothing;
    const bool goes_on = run.last == y - 1 && run.length() > 0 && value <= extreme + kBack &&
                         std::abs(value - before) <= kStep;
    if (!goes_on) {
      run = {y, std::isfinite(value) ? y : -1, 0};
      extreme = value;
      continue;
    }
    extreme = std::min(extreme, value);
    run.last = y;
    run.span = sign * still(run.first, x) - extreme;
    if (run.span > best.span) best = run;
  }
  return best;
}

bool Long(const Run& run, int whole) {
  return run.span >= kLeastSpan &&
         run.length() >= std::max(kLeastLengthPx * 1.0, kLeastLength * whole);
}

// Neighbouring columns whose runs are one strip.
struct Strip {
  cv::Rect box;
  std::vector<float> down;  // Means over its width.
};

std::vector<float> MeansOver(const Image& still, const cv::Rect& box) {
  std::vector<float> means;
  for (int y = box.y; y < box.br().y; ++y) {
    float sum = 0;
    int count = 0;
    for (int x = box.x; x < box.br().x; ++x) {
      if (!std::isfinite(still(y, x))) continue;
      sum += still(y, x);
      ++count;
    }
    means.push_back(count > 0 ? sum / static_cast<float>(count) : kNothing);
  }
  return means;
}

bool SameStrip(const Image& still, const Run& a, int x, const Run& b) {
  if (std::abs(a.first - b.first) > kRaggedPx || std::abs(a.last - b.last) > kRaggedPx)
    return false;
  for (int y = std::max(a.first, b.first); y <= std::min(a.last, b.last); ++y) {
    if (std::abs(still(y, x) - still(y, x - 1)) > kAlike) return false;
  }
  return true;
}

// Whether the strip ends sharply at a side: column `in` of it against what lies beyond.
bool CutOff(const Image& still, const cv::Rect& box, int in, int beyond) {
  if (beyond < 0 || beyond >= still.cols) return true;
  int other = 0;
  for (int y = box.y; y < box.br().y; ++y) {
    other += std::abs(still(y, in) - still(y, beyond)) <= kOther ? 0 : 1;  // NaN is another.
  }
  return other >= kLeastCutOff * box.height;
}

bool IsBar(const Image& still, const cv::Rect& box) {
  return box.width >= kLeastWidthPx && box.height >= kSlender * box.width &&
         CutOff(still, box, box.x, box.x - 1 - kRimPx) &&
         CutOff(still, box, box.br().x - 1, box.br().x + kRimPx);
}

// The strip along columns that spans most of the row, if any.
std::optional<Strip> FindUpright(const Image& still) {
  std::optional<Strip> best;
  int longest = 0;
  for (const float sign : {1.0F, -1.0F}) {
    int x = 0;
    while (x < still.cols) {
      Run run = LongestRun(still, x, sign);
      if (!Long(run, still.rows)) {
        ++x;
        continue;
      }
      int first = run.first;
      int last = run.last;
      int end = x + 1;
      for (; end < still.cols; ++end) {
        const Run next = LongestRun(still, end, sign);
        if (!Long(next, still.rows) || !SameStrip(still, run, end, next)) break;
        first = std::max(first, next.first);
        last = std::min(last, next.last);
        run = next;
      }
      const cv::Rect box(x, first, end - x, last - first + 1);
      x = end;
      if (!IsBar(still, box) || box.height <= longest) continue;
      longest = box.height;
      best = Strip{box, MeansOver(still, box)};
    }
  }
  return best;
}

// Rising, without the steps back that noise makes.
std::vector<float> Rising(std::vector<float> values) {
  std::vector<float> up = values;
  std::vector<float> down = values;
  for (std::size_t i = 1; i < values.size(); ++i) up[i] = std::max(up[i], up[i - 1]);
  for (std::size_t i = values.size() - 1; i-- > 0;) down[i] = std::min(down[i], down[i + 1]);
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = 0.5F * (up[i] + down[i]);
  std::vector<float> smooth = values;
  const int last = static_cast<int>(values.size()) - 1;
  for (int i = 0; i <= last; ++i) {
    // As far either way: ends would be drawn inwards.
    const int reach = std::min({kSmooth, i, last - i});
    float sum = 0;
    for (int k = -reach; k <= reach; ++k) sum += values[static_cast<std::size_t>(i + k)];
    smooth[static_cast<std::size_t>(i)] = sum / static_cast<float>(2 * reach + 1);
  }
  return smooth;
}

}  // namespace

std::optional<ColorBar> FindColorBar(const std::vector<Image>& pictures) {
  const Image still = StillValues(pictures);
  std::optional<Strip> strip = FindUpright(still);
  const bool upright = strip.has_value();
  if (!upright) {
    strip = FindUpright(Image(still.t()));
    if (!strip) return std::nullopt;
    const cv::Rect box = strip->box;
    strip->box = {box.y, box.x, box.height, box.width};
  }
  ColorBar bar;
  bar.box = strip->box;
  bar.values = std::move(strip->down);
  // Upwards, or to the right.
  if (upright) std::reverse(bar.values.begin(), bar.values.end());
  bar.warm_end_is_high = bar.values.back() > bar.values.front();
  if (!bar.warm_end_is_high) std::reverse(bar.values.begin(), bar.values.end());
  bar.values = Rising(std::move(bar.values));
  return bar;
}

}  // namespace ohmglow
