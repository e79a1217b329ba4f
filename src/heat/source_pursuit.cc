// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/source_pursuit.h"

#include <cmath>
#include <cstdlib>

#include "base/simd_clones.h"

namespace ohmglow {
namespace {

OHMGLOW_SIMD_CLONES
void AddRow(const float* __restrict row, float factor, int count, float* __restrict onto) {
  for (int i = 0; i < count; ++i) onto[i] += factor * row[i];
}

// Adds `factor` times a response around a pixel. It is even and comes again
// beyond its plane, so what lies left of the middle stands at its end.
void AddShifted(const Image& response, cv::Point at, float factor, Image& picture) {
  for (int y = 0; y < picture.rows; ++y) {
    const float* row = response[std::abs(y - at.y)];
    AddRow(row + response.cols - at.x, factor, at.x, picture[y]);
    AddRow(row, factor, picture.cols - at.x, picture[y] + at.x);
  }
}

// Largest square of the seen values of a row.
OHMGLOW_SIMD_CLONES
float LargestSquare(const float* values, const unsigned char* seen, int count) {
  float most = 0;
  for (int i = 0; i < count; ++i) {
    const float square = seen[i] != 0 ? values[i] * values[i] : 0;
    most = square > most ? square : most;
  }
  return most;
}

}  // namespace

Image Amplitude::z() const {
  Image root;
  cv::sqrt(information, root);
  return Image(value.mul(root));
}

SourcePursuit::SourcePursuit(const Amplitude& near,
                             const Amplitude& far,
                             const Mask& seen,
                             float near_information,
                             float far_information)
    : near_(near.value.mul(near.information)),
      far_(far.value.mul(far.information)),
      seen_(seen),
      near_information_(near_information),
      far_information_(far_information) {}

SourcePursuit::Source SourcePursuit::Strongest(double least_z) const {
  Source best;
  best.z = static_cast<float>(least_z);
  float most = best.z * best.z;
  for (int y = 0; y < seen_.rows; ++y) {
    for (const bool near : {true, false}) {
      const float* row = near ? near_[y] : far_[y];
      const float information = near ? near_information_ : far_information_;
      if (LargestSquare(row, seen_[y], seen_.cols) <= most * information) continue;
      for (int x = 0; x < seen_.cols; ++x) {
        const float along = row[x];
        if (seen_(y, x) == 0 || along * along <= most * information) continue;
        most = along * along / information;
        best = {{x, y}, along / information, std::sqrt(most), near};
      }
    }
  }
  return best;
}

void SourcePursuit::TakeOut(const Source& source, const Image& with_near, const Image& with_far) {
  AddShifted(with_near, source.at, -source.amplitude, near_);
  AddShifted(with_far, source.at, -source.amplitude, far_);
}

}  // namespace ohmglow
