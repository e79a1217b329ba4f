// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/color_curve.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "input/color_path.h"
#include "input/nothing.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr int kTableSide = 65;  // Steps of 4, both ends.
constexpr float kTableStep = 4;
// Corners of a cell of the table that differ more lie on two branches of the curve.
constexpr float kOneBranch = 12;
// So little colour is the video's own error ...
constexpr float kGreyChroma = 12;
// ... in all but so many of the pixels: marks may be coloured.
constexpr double kColoured = 0.02;
constexpr std::size_t kPixelsOfPicture = 12000;
constexpr std::size_t kMostCells = 1500;
constexpr double kLeastOfCell = 3e-5;  // Of all pixels looked at.
constexpr int kBarRimPx = 3;           // Around a bar: its frame, and what compression smears.

// Brightness as ITU-R BT.601 weighs it, section 2.5.1.
ColorCurve::Color Split(float blue, float green, float red, float chroma_weight) {
  const float bright = 0.299F * red + 0.587F * green + 0.114F * blue;
  return {bright, chroma_weight * (blue - bright), chroma_weight * (red - bright)};
}

std::vector<ColorCurve::Color> Sample(const std::vector<cv::Mat>& pictures, double chroma_weight) {
  std::vector<ColorCurve::Color> colors;
  const auto weight = static_cast<float>(chroma_weight);
  for (const cv::Mat& picture : pictures) {
    const std::size_t stride = (picture.total() / kPixelsOfPicture) | 1U;
    for (std::size_t i = 0; i < picture.total(); i += stride) {
      const auto& p = picture.at<cv::Vec3b>(static_cast<int>(i) / picture.cols,
                                            static_cast<int>(i) % picture.cols);
      colors.push_back(Split(p[0], p[1], p[2], weight));
    }
  }
  return colors;
}

// Colours that occur, each with how often; rare ones are mixtures at edges and marks.
std::vector<ColorPoint> Gather(const std::vector<ColorCurve::Color>& colors) {
  for (float step = 6;; step *= 1.3F) {
    std::map<std::array<int, 3>, ColorPoint> cells;
    for (const ColorCurve::Color& color : colors) {
      std::array<int, 3> key{};
      for (int c = 0; c < 3; ++c) {
        key[static_cast<std::size_t>(c)] = static_cast<int>(std::floor(color[c] / step));
      }
      ColorPoint& cell = cells[key];
      cell.color += color;
      cell.count += 1;
    }
    const double least = std::max(3.0, kLeastOfCell * static_cast<double>(colors.size()));
    std::vector<ColorPoint> points;
    for (auto& [key, cell] : cells) {
      if (cell.count < least) continue;
      cell.color *= static_cast<float>(1 / cell.count);
      points.push_back(cell);
    }
    if (points.size() <= kMostCells) return points;
  }
}

// Value of 0 .. 255 by place along the curve: a bar's steps are even.
std::vector<float> EvenBy(const std::vector<float>& bar) {
  std::vector<float> even;
  std::size_t k = 1;
  for (int place = 0; place < 256; ++place) {
    const auto at = static_cast<float>(place);
    while (k + 1 < bar.size() && bar[k] < at) ++k;
    const float step = bar[k] - bar[k - 1];
    const float part = step > 0 ? std::clamp((at - bar[k - 1]) / step, 0.0F, 1.0F) : 0.5F;
    even.push_back(255 * (static_cast<float>(k - 1) + part) / static_cast<float>(bar.size() - 1));
  }
  return even;
}

}  // namespace

void ColorCurveOptions::Validate() const {
  const auto require = [](bool holds, const char* field, double value) {
    if (holds) return;
    throw OptionError(std::string("ColorCurveOptions::") + field + " = " + std::to_string(value) +
                      ": out of range");
  };
  require(knots >= 8, "knots", knots);
  require(chroma_weight > 0, "chroma_weight", chroma_weight);
  require(reach > 0, "reach", reach);
  require(largest_gap > 0, "largest_gap", largest_gap);
}

ColorCurve::ColorCurve(const std::vector<cv::Mat>& pictures_bgr, const ColorCurveOptions& options)
    : options_(options) {
  options.Validate();
  const std::vector<Color> colors = Sample(pictures_bgr, options.chroma_weight);
  const auto coloured = std::count_if(colors.begin(), colors.end(), [&](const Color& c) {
    return std::max(std::abs(c[1]), std::abs(c[2])) > options.chroma_weight * kGreyChroma;
  });
  is_grey_ = static_cast<double>(coloured) < kColoured * static_cast<double>(colors.size());
  if (is_grey_) return;
  const std::vector<ColorPoint> points = Gather(colors);
  knots_ = SmoothPath(points, LongestPath(points, options.largest_gap), options.knots);
  if (knots_.size() < 2) {
    throw DataError(
        "the colours of the frames form no row from cold to warm: save them in grey, or with one "
        "row of colours that no photo is laid over");
  }
  const bool bright_first = knots_.front()[0] > knots_.back()[0];
  if (bright_first != options.dark_is_warm) std::reverse(knots_.begin(), knots_.end());
  Tabulate();
  UseBar(pictures_bgr);
}

void ColorCurve::UseBar(const std::vector<cv::Mat>& pictures_bgr) {
  std::vector<Image> pictures;
  for (const cv::Mat& picture : pictures_bgr) pictures.push_back(Values(picture));
  bar_ = FindColorBar(pictures);
  if (!bar_) return;
  std::vector<float> values = bar_->values;
  // Where the user has not said it, the bar knows better than the brightness.
  if (!bar_->warm_end_is_high && !options_.dark_is_warm) {
    std::reverse(knots_.begin(), knots_.end());
    std::reverse(values.begin(), values.end());
    for (float& value : values) value = 255 - value;
  }
  even_ = EvenBy(values);
  Tabulate();
}

float ColorCurve::ValueAt(const Color& color) const {
  const PathPlace place = PlaceOnPath(knots_, color);
  if (place.distance > options_.reach) return kNothing;
  const auto value = static_cast<float>(255 * place.along);
  if (even_.empty()) return value;
  const auto low = std::min(static_cast<std::size_t>(value), even_.size() - 2);
  return even_[low] + (value - static_cast<float>(low)) * (even_[low + 1] - even_[low]);
}

void ColorCurve::Tabulate() {
  table_.resize(static_cast<std::size_t>(kTableSide) * kTableSide * kTableSide);
  const auto weight = static_cast<float>(options_.chroma_weight);
  std::size_t i = 0;
  for (int b = 0; b < kTableSide; ++b) {
    for (int g = 0; g < kTableSide; ++g) {
      for (int r = 0; r < kTableSide; ++r) {
        table_[i++] = ValueAt(Split(kTableStep * static_cast<float>(b),
                                    kTableStep * static_cast<float>(g),
                                    kTableStep * static_cast<float>(r),
                                    weight));
      }
    }
  }
}

Image ColorCurve::Values(const cv::Mat& bgr) const {
  Image values(bgr.size());
  const auto weight = static_cast<float>(options_.chroma_weight);
  for (int y = 0; y < bgr.rows; ++y) {
    for (int x = 0; x < bgr.cols; ++x) {
      const auto& p = bgr.at<cv::Vec3b>(y, x);
      if (is_grey_) {
        values(y, x) = Split(p[0], p[1], p[2], weight)[0];
        continue;
      }
      // Between the eight corners of its cell, where they agree on the branch.
      float sum = 0, low = 1e9F, high = -1e9F;
      for (int corner = 0; corner < 8; ++corner) {
        std::size_t at = 0;
        float share = 1;
        for (int c = 0; c < 3; ++c) {
          const int upper = (corner >> c) & 1;
          const float part = static_cast<float>(p[c] % 4) / kTableStep;
          at = at * kTableSide + static_cast<std::size_t>(p[c] / 4 + upper);
          share *= upper != 0 ? part : 1 - part;
        }
        const float value = table_[at];
        sum += share * value;
        low = std::min(low, value);
        high = std::max(high, value);
      }
      const bool agree = std::isfinite(sum) && high - low < kOneBranch;
      values(y, x) = agree ? sum : ValueAt(Split(p[0], p[1], p[2], weight));
    }
  }
  if (bar_) {
    const cv::Rect around = bar_->box + cv::Size(2 * kBarRimPx, 2 * kBarRimPx);
    values((around - cv::Point(kBarRimPx, kBarRimPx)) & cv::Rect({}, values.size())) = kNothing;
  }
  return values;
}

}  // namespace ohmglow
