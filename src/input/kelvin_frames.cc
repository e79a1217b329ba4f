// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "kelvin_frames.h"

#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>
#include <string>
#include <utility>

namespace ohmglow {
namespace {

template <typename Count>
void LookUp(const cv::Mat& counts, const std::vector<float>& table_k, Image& kelvin) {
  constexpr int kLeast = std::numeric_limits<Count>::min();
  for (int y = 0; y < counts.rows; ++y) {
    const Count* const from = counts.ptr<Count>(y);
    float* const to = kelvin[y];
    for (int x = 0; x < counts.cols; ++x) {
      to[x] = table_k[static_cast<std::size_t>(from[x] - kLeast)];
    }
  }
}

}  // namespace

double CountScale::Apparent(double count) const {
  if (table) return table->Kelvin(count);
  if (curve) return curve->Temperature(count);
  return zero_k + scale_k * count;
}

KelvinFrames::KelvinFrames(std::unique_ptr<CountPages> pages,
                           CountScale scale,
                           const SurfaceOptions& surface)
    : pages_(std::move(pages)), scale_(std::move(scale)), surface_(surface), object_(surface) {
  if (pages_->type() != CV_32F) FillTable();
}

std::optional<CountSteps> KelvinFrames::steps() const {
  if (pages_->type() == CV_32F || scale_.table) return std::nullopt;
  if (scale_.curve) return CountSteps{1, 0};
  return CountSteps{scale_.scale_k, scale_.zero_k};
}

void KelvinFrames::FillTable() {
  const int num_counts = pages_->type() == CV_8U ? 256 : 65536;
  const int least = pages_->type() == CV_16S ? -32768 : 0;
  table_k_.resize(static_cast<std::size_t>(num_counts));
  for (int i = 0; i < num_counts; ++i) {
    table_k_[static_cast<std::size_t>(i)] =
        static_cast<float>(object_.FromApparent(scale_.Apparent(least + i)));
  }
  table_k_.front() = std::numeric_limits<float>::quiet_NaN();
  table_k_.back() = std::numeric_limits<float>::quiet_NaN();
}

void KelvinFrames::Read(int index, Image& kelvin) {
  if (index < 0 || index >= count()) {
    throw std::logic_error("frame " + std::to_string(index) + " of " + std::to_string(count()));
  }
  pages_->Read(index, counts_);
  kelvin.create(counts_.size());
  switch (counts_.type()) {
    case CV_8U:
      return LookUp<std::uint8_t>(counts_, table_k_, kelvin);
    case CV_16U:
      return LookUp<std::uint16_t>(counts_, table_k_, kelvin);
    case CV_16S:
      return LookUp<std::int16_t>(counts_, table_k_, kelvin);
    default:
      break;
  }
  for (int y = 0; y < counts_.rows; ++y) {
    const float* const from = counts_.ptr<float>(y);
    for (int x = 0; x < counts_.cols; ++x) {
      kelvin(y, x) = object_.FromApparentFast(
          static_cast<float>(scale_.Apparent(static_cast<double>(from[x]))));
    }
  }
}

}  // namespace ohmglow
