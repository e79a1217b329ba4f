// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/source_pursuit.h"

#include <cmath>
#include <cstdlib>

namespace ohmglow {
namespace {

// Adds `factor` times a response around a pixel.
void AddShifted(const Image& response, cv::Point at, double factor, Image& picture) {
  for (int y = 0; y < picture.rows; ++y) {
    const float* row = response[std::abs(y - at.y)];
    float* out = picture[y];
    for (int x = 0; x < picture.cols; ++x) {
      out[x] += static_cast<float>(factor) * row[std::abs(x - at.x)];  // Even.
    }
  }
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
    for (int x = 0; x < seen_.cols; ++x) {
      if (seen_(y, x) == 0) continue;
      for (const bool near : {true, false}) {
        const float along = near ? near_(y, x) : far_(y, x);
        const float information = near ? near_information_ : far_information_;
        if (along * along <= most * information) continue;
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
