// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/screening_sums.h"

#include <algorithm>
#include <cmath>

#include "align/robust.h"

namespace ohmglow::internal {
namespace {

constexpr float kFinite = 1e6F;    // |v| below it is false for NaN and vectorises.
constexpr int kRoughRows = 4;      // Every fourth row tells the roughness to 1 %.
constexpr int kLineSteps = 64;     // Steps that tell the noise of columns and rows.
constexpr int kQuantumSteps = 16;  // Steps that tell the size of a count.
constexpr int kQuantumRows = 16;

// Sum in eight lanes: a single running sum would not vectorise. Not finite
// where a value is not.
float SumAll(const float* v, int n, float origin) {
  constexpr int kLanes = 8;
  float lane[kLanes] = {};
  int c = 0;
  for (; c + kLanes <= n; c += kLanes) {
    for (int k = 0; k < kLanes; ++k) lane[k] += v[c + k] - origin;
  }
  float sum = 0;
  for (const float part : lane) sum += part;
  for (; c < n; ++c) sum += v[c] - origin;
  return sum;
}

float SumFinite(const float* v, int n, float origin, int& missing) {
  float sum = 0;
  for (int c = 0; c < n; ++c) {
    const float d = v[c] - origin;
    const bool finite = std::abs(d) < kFinite;
    sum += finite ? d : 0.0F;
    missing += finite ? 0 : 1;
  }
  return sum;
}

// Sum of |change of a pixel less that of the next one|.
float Roughness(const float* a, const float* b, int n, int& terms) {
  constexpr int kLanes = 8;
  float lane[kLanes] = {};
  int met[kLanes] = {};
  int c = 0;
  for (; c + kLanes + 1 <= n; c += kLanes) {
    for (int k = 0; k < kLanes; ++k) {
      const float e = std::abs((b[c + k + 1] - a[c + k + 1]) - (b[c + k] - a[c + k]));
      const bool finite = e < kFinite;
      lane[k] += finite ? e : 0.0F;
      met[k] += finite ? 1 : 0;
    }
  }
  float sum = 0;
  for (int k = 0; k < kLanes; ++k) {
    sum += lane[k];
    terms += met[k];
  }
  return sum;
}

void AddRowWithGaps(
    const float* v, int n, float origin, float* sum, std::array<int, kBlockColumns>& lost) {
  for (int c = 0; c < n; ++c) {
    const float d = v[c] - origin;
    if (std::abs(d) < kFinite) {
      sum[c] += d;
    } else {
      ++lost[static_cast<std::size_t>(c * kBlockColumns / n)];
    }
  }
}

// The lines' own noise: what their means scatter beyond the pixels' noise.
// A difference of lines and of frames has four times a line's variance.
double LineNoise(std::vector<float>& steps, double pixel_noise_k, int pixels) {
  if (steps.size() < 2) return 0;
  const double sigma_k = RobustSigmaInPlace(steps) / 2;
  const double own = pixel_noise_k * pixel_noise_k / pixels;
  const double excess = sigma_k * sigma_k - own;
  // A robust sigma of n values is uncertain by 1.17/sqrt(2 n) or so of itself.
  const double doubt = 5 * own * 1.65 / std::sqrt(static_cast<double>(steps.size()));
  return excess > doubt ? std::sqrt(excess) : 0;
}

}  // namespace

ScreeningSums::ScreeningSums(cv::Size size, int count)
    : size_(size),
      count_(count),
      line_every_(std::max(1, count / kLineSteps)),
      change_sq_(size, 0.0F),
      missing_values_(size, 0),
      missing_changes_(size, 0),
      block_sum_(static_cast<std::size_t>(size.width)) {
  // Four frames a part at least: their mean must be better than one frame.
  const int parts = std::clamp(count / 4, 1, kTimeBlocks);
  for (int k = 0; k < parts; ++k) {
    part_sum_.emplace_back(size, 0.0F);
    part_missing_.emplace_back(size, 0);
  }
  part_frames_.resize(static_cast<std::size_t>(parts));
}

void ScreeningSums::FindOrigin(const Image& frame_k) {
  std::vector<float> values(frame_k.begin(), frame_k.end());
  std::erase_if(values, [](float v) { return !(std::abs(v) < kFinite); });
  has_origin_ = !values.empty();
  origin_k_ = MedianInPlace(values);
}

// Adds a row to the sums of its row of blocks; counts what is missing.
int ScreeningSums::LookAtRow(const Image& frame_k, int row, std::array<int, kBlockColumns>& lost) {
  const float* v = frame_k[row];
  const float origin = origin_k_;
  const int cols = size_.width;
  float* sum = block_sum_.data();
  float& row_sum = now_.row[static_cast<std::size_t>(row)];
  row_sum = SumAll(v, cols, origin);
  if (std::abs(row_sum) < kFinite) {
    for (int c = 0; c < cols; ++c) sum[c] += v[c] - origin;
    return 0;
  }
  int missing = 0;
  row_sum = SumFinite(v, cols, origin, missing);
  now_.row_missing[static_cast<std::size_t>(row)] = missing > 0 ? 1 : 0;
  AddRowWithGaps(v, cols, origin, sum, lost);
  return missing;
}

// The means of a row of blocks, `height` pixels high, from the sums of its columns.
void ScreeningSums::CloseBlocks(int block_row,
                                int height,
                                const std::array<int, kBlockColumns>& lost,
                                FrameProfile& out) {
  std::array<double, kBlockColumns> total{};
  std::array<int, kBlockColumns> width{};
  for (int c = 0; c < size_.width; ++c) {
    const auto i = static_cast<std::size_t>(c);
    const auto k = static_cast<std::size_t>(c * kBlockColumns / size_.width);
    total[k] += static_cast<double>(block_sum_[i]);
    ++width[k];
    now_.column[i] += block_sum_[i];
  }
  for (std::size_t k = 0; k < kBlockColumns; ++k) {
    const auto i = static_cast<std::size_t>(block_row) * kBlockColumns + k;
    out.seen[i] = width[k] * height - lost[k];
    out.block_k[i] = static_cast<float>(total[k] / std::max(1, out.seen[i]));
  }
}

FrameProfile ScreeningSums::Profile(int index, const Image& before_k, const Image& frame_k) {
  if (!has_origin_) FindOrigin(frame_k);
  looked_at_ = index;
  const int rows = size_.height;
  now_.column.assign(static_cast<std::size_t>(size_.width), 0.0F);
  now_.row.assign(static_cast<std::size_t>(rows), 0.0F);
  now_.row_missing.assign(static_cast<std::size_t>(rows), 0);
  FrameProfile out;
  out.index = index;
  double rough = 0;
  int rough_terms = 0, missing = 0;
  for (int b = 0; b < kBlockRows; ++b) {
    const int begin = b * rows / kBlockRows;
    const int end = (b + 1) * rows / kBlockRows;
    std::fill(block_sum_.begin(), block_sum_.end(), 0.0F);
    std::array<int, kBlockColumns> lost{};
    for (int row = begin; row < end; ++row) {
      missing += LookAtRow(frame_k, row, lost);
      if (before_k.empty() || row % kRoughRows != 0) continue;
      rough +=
          static_cast<double>(Roughness(before_k[row], frame_k[row], size_.width, rough_terms));
    }
    CloseBlocks(b, end - begin, lost, out);
  }
  out.roughness_k = rough / std::max(1, rough_terms);
  out.missing = static_cast<double>(missing) / size_.area();
  return out;
}

void ScreeningSums::AddValue(const Image& frame_k) {
  const auto part =
      static_cast<std::size_t>(looked_at_) * part_sum_.size() / static_cast<std::size_t>(count_);
  ++frames_;
  ++part_frames_[part];
  Image& sum = part_sum_[part];
  for (int r = 0; r < size_.height; ++r) {
    const float* v = frame_k[r];
    float* to = sum[r];
    const float origin = origin_k_;
    if (now_.row_missing[static_cast<std::size_t>(r)] == 0) {
      for (int c = 0; c < size_.width; ++c) to[c] += v[c] - origin;
      continue;
    }
    for (int c = 0; c < size_.width; ++c) {
      const float d = v[c] - origin;
      if (std::abs(d) < kFinite) {
        to[c] += d;
      } else {
        ++missing_values_(r, c);
        ++part_missing_[part](r, c);
      }
    }
  }
}

void ScreeningSums::AddChange(const Image& before_k, const Image& frame_k) {
  if (changes_ % line_every_ == 0) {
    Collect(before_.column, now_.column, 1.0F / static_cast<float>(size_.height), column_steps_);
    Collect(before_.row, now_.row, 1.0F / static_cast<float>(size_.width), row_steps_);
  }
  if (changes_ < kQuantumSteps) LookForQuantum(before_k, frame_k);
  ++changes_;
  for (int r = 0; r < size_.height; ++r) {
    const float* a = before_k[r];
    const float* b = frame_k[r];
    float* sq = change_sq_[r];
    const auto row = static_cast<std::size_t>(r);
    if (before_.row_missing[row] == 0 && now_.row_missing[row] == 0) {
      for (int c = 0; c < size_.width; ++c) {
        const float d = b[c] - a[c];
        sq[c] += d * d;
      }
      continue;
    }
    for (int c = 0; c < size_.width; ++c) {
      const float d = b[c] - a[c];
      if (std::abs(d) < kFinite) {
        sq[c] += d * d;
      } else {
        ++missing_changes_(r, c);
      }
    }
  }
}

void ScreeningSums::Keep() { std::swap(before_, now_); }

void ScreeningSums::LookForQuantum(const Image& before_k, const Image& frame_k) {
  for (int r = 0; r < size_.height; r += kQuantumRows) {
    for (int c = 0; c < size_.width; ++c) {
      const double d = std::abs(static_cast<double>(frame_k(r, c)) - before_k(r, c));
      if (d > 0 && (quantum_k_ <= 0 || d < quantum_k_)) quantum_k_ = d;  // False for NaN.
    }
  }
}

// How much a line changed against the next one, in which the scene's own slow
// change and the common offset are gone.
void ScreeningSums::Collect(const std::vector<float>& before,
                            const std::vector<float>& after,
                            float scale,
                            std::vector<float>& into) {
  for (std::size_t i = 0; i + 1 < after.size(); ++i) {
    into.push_back(scale * ((after[i + 1] - before[i + 1]) - (after[i] - before[i])));
  }
}

double ScreeningSums::ColumnNoise(double pixel_noise_k) {
  return LineNoise(column_steps_, pixel_noise_k, size_.height);
}

double ScreeningSums::RowNoise(double pixel_noise_k) {
  return LineNoise(row_steps_, pixel_noise_k, size_.width);
}

Image ScreeningSums::Liveliness() const {
  Image out(size_);
  for (int r = 0; r < size_.height; ++r) {
    for (int c = 0; c < size_.width; ++c) {
      const int n = std::max(1, changes_ - missing_changes_(r, c));
      out(r, c) = std::sqrt(change_sq_(r, c) / static_cast<float>(2 * n));
    }
  }
  return out;
}

Image ScreeningSums::Mean() const {
  Image out(size_, 0.0F);
  for (const Image& sum : part_sum_) out += sum;
  for (int r = 0; r < size_.height; ++r) {
    for (int c = 0; c < size_.width; ++c) {
      out(r, c) /= static_cast<float>(std::max(1, Values(r, c)));
    }
  }
  return out;
}

std::vector<Image> ScreeningSums::PartMeans() const {
  std::vector<Image> out;
  for (std::size_t k = 0; k < part_sum_.size(); ++k) {
    if (part_frames_[k] == 0) continue;
    out.emplace_back(size_);
    for (int r = 0; r < size_.height; ++r) {
      for (int c = 0; c < size_.width; ++c) {
        const int n = part_frames_[k] - part_missing_[k](r, c);
        out.back()(r, c) = part_sum_[k](r, c) / static_cast<float>(std::max(1, n));
      }
    }
  }
  return out;
}

int ScreeningSums::Values(int row, int column) const {
  return frames_ - missing_values_(row, column);
}

}  // namespace ohmglow::internal
