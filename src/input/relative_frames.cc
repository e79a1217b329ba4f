// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "relative_frames.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <stdexcept>
#include <utility>
#include <vector>

#include "base/quantile.h"
#include "frame_unit.h"
#include "input/nothing.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr double kMiddle = 300;
constexpr double kSpread = 10;
constexpr double kTail = 0.02;
constexpr int kColorPictures = 16;
// Wider pictures are mostly enlarged; heat is no sharper than so many millimetres (src/binning),
// and what coding and grey steps do to single pixels averages out.
constexpr int kUsualWidthPx = 210;
constexpr int kLeastWidthPx = 150;
constexpr double kMostMm = 0.48;

// The end counts of a wide integer type, where a detector saturates.
std::optional<ValueRange> EndsOf(int type) {
  if (type == CV_16U) return ValueRange{0, 65535};
  if (type == CV_16S) return ValueRange{-32768, 32767};
  return std::nullopt;
}

// Means of whole blocks; a rest at the right and at the bottom is left out.
cv::Mat Shrunk(const cv::Mat& page, cv::Size size_px, int shrink) {
  if (shrink == 1) return page;
  cv::Mat out;
  cv::resize(page(cv::Rect({0, 0}, size_px * shrink)), out, size_px, 0, 0, cv::INTER_AREA);
  return out;
}

}  // namespace

RelativeFrames::RelativeFrames(std::unique_ptr<CountPages> pages,
                               const std::string& name,
                               const RelativeOptions& options)
    : pages_(std::move(pages)), options_(options) {
  size_px_ = pages_->size_px() / options.shrink;
  if (size_px_.width < 1 || size_px_.height < 1) {
    throw InputError(name + ": frames.shrink = " + std::to_string(options.shrink) +
                     " leaves nothing of its frames; give a smaller one");
  }
  try {
    if (pages_->type() == CV_8UC3) colors_ = LearnColors();
  } catch (const DataError& error) {
    throw InputError(name + ": " + error.what());
  }
  ReadFirst(*pages_, counts_);
  const Image first = PageValues();
  std::vector<float> finite;
  std::copy_if(first.begin(), first.end(), std::back_inserter(finite), [](float v) {
    return std::isfinite(v);
  });
  if (finite.empty()) throw InputError(name + ": the first frame holds no finite value");
  const auto at = [&](double share) { return static_cast<double>(QuantileOf(finite, share)); };
  const double middle = at(0.5);
  double spread = at(1 - kTail) - at(kTail);
  // A board may be nearly all of one temperature.
  if (!(spread > 0)) spread = at(1) - at(0);
  if (!(spread > 0)) throw InputError(name + ": the first frame holds one and the same value");
  scale_ = kSpread / spread;
  zero_ = kMiddle - scale_ * middle;
}

ColorCurve RelativeFrames::LearnColors() {
  std::vector<cv::Mat> pictures;
  const int taken = std::min(kColorPictures, count());
  for (int i = 0; i < taken; ++i) {
    try {
      pages_->Read(taken < 2 ? 0 : i * (count() - 1) / (taken - 1), counts_);
    } catch (const InputError&) {
      // A damaged picture is lost alone, as long as there are others.
      if (i + 1 == taken && pictures.empty()) throw;
      continue;
    }
    pictures.push_back(Shrunk(counts_, size_px_, options_.shrink).clone());
  }
  ColorCurveOptions colors;
  colors.dark_is_warm = options_.dark_is_warm;
  return {pictures, colors};
}

std::optional<ValueRange> RelativeFrames::range() const {
  if (!is_picture()) return std::nullopt;
  return ValueRange{zero_, zero_ + 255 * scale_};
}

Image RelativeFrames::PageValues() const {
  cv::Mat out;
  if (colors_) {
    out = colors_->Values(Shrunk(counts_, size_px_, options_.shrink));
  } else {
    counts_.convertTo(out, CV_32F);
    if (const auto ends = EndsOf(pages_->type())) {
      out.setTo(kNothing, (counts_ == ends->low) | (counts_ == ends->high));
    }
    out = Shrunk(out, size_px_, options_.shrink);
  }
  // Colours are turned round already.
  const bool grey = !colors_ || colors_->is_grey();
  if (is_picture() && grey && options_.dark_is_warm) out = 255 - out;
  return out;
}

void RelativeFrames::Read(int index, Image& values) {
  if (index < 0 || index >= count()) {
    throw std::logic_error("frame " + std::to_string(index) + " of " + std::to_string(count()));
  }
  pages_->Read(index, counts_);
  values = Image(scale_ * PageValues() + zero_);
}

int UsualShrink(cv::Size page_size_px, std::optional<double> mm_per_pixel) {
  const int usual = std::max(1, page_size_px.width / kUsualWidthPx);
  if (!mm_per_pixel) return usual;
  const int most = std::max(usual, page_size_px.width / kLeastWidthPx);
  return static_cast<int>(std::clamp<double>(kMostMm / *mm_per_pixel, usual, most));
}

}  // namespace ohmglow
