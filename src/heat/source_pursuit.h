// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"

namespace ohmglow {

/// Least-squares amplitude of a source at each pixel by itself.
struct Amplitude {
  Image value;        ///< Of one watt, units of the noise.
  Image information;  ///< 1 / variance.
  [[nodiscard]] Image z() const;
};

/// Correlations of a picture with near and far sources, and what remains of
/// them when sources are taken out one after the other.
class SourcePursuit {
 public:
  /// @param near_information, far_information  of a source far from any border:
  ///        beside one an amplitude is taken too low, so that no step overshoots.
  SourcePursuit(const Amplitude& near,
                const Amplitude& far,
                const Mask& seen,
                float near_information,
                float far_information);

  struct Source {
    cv::Point at;
    float amplitude = 0;  ///< 0: none stands out.
    float z = 0;          ///< Its size, without sign.
    bool near = true;
  };
  [[nodiscard]] Source Strongest(double least_z) const;

  /// @param with_near, with_far  correlation of the source's response with that
  ///        of a near and a far one; even, the middle at (0, 0).
  void TakeOut(const Source& source, const Image& with_near, const Image& with_far);

 private:
  Image near_;
  Image far_;
  Mask seen_;
  float near_information_;
  float far_information_;
};

}  // namespace ohmglow
