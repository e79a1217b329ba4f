// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// A picture in the middle of a larger plane of a size that transforms
/// quickly: what goes out at one side does not come in at the other.
///
/// Spectra of real pictures are kept packed (conjugate-symmetric half, real and
/// imaginary parts side by side), so that a filter that is real in frequency
/// is one number per entry.
class PaddedPlane {
 public:
  /// @param least_pad_px  least width of the plane beyond the picture.
  PaddedPlane(cv::Size picture_px, int least_pad_px);

  [[nodiscard]] cv::Size size_px() const { return size_px_; }
  [[nodiscard]] cv::Rect picture() const { return picture_; }

  /// The picture mirrored into the padding, where it fades to zero.
  [[nodiscard]] Image Place(const Image& picture) const;

  /// Spectrum, in place of a plane.
  static void Forward(Image& plane);
  /// Plane, in place of a spectrum; Backward(Forward(x)) = x.
  static void Backward(Image& spectrum);

  /// A filter from a table over the frequency's magnitude.
  /// @param table        values at entries spaced evenly in log(k).
  /// @param first_k, last_k  radians a pixel, of the table's ends; held beyond,
  ///                     at k = 0 too.
  /// @return             packed.
  [[nodiscard]] Image Filter(const std::vector<float>& table, double first_k, double last_k) const;

  /// Magnitude of each packed entry's frequency, radians a pixel.
  [[nodiscard]] const Image& k() const { return k_; }

  /// Mean of a filter over all frequencies: the height of its point response.
  [[nodiscard]] double Mean(const Image& filter) const { return filter.dot(count_); }

  /// The plane's picture of a filter's point response, its middle at (0, 0).
  [[nodiscard]] Image PointResponse(const Image& filter) const;

 private:
  cv::Size size_px_;
  cv::Rect picture_;
  Image k_;
  Image log_k_;
  Image real_;   // 1 at real parts, 0 at imaginary parts
  Image count_;  // share of all frequencies that an entry stands for; 0 at imaginary parts
  Image fade_;
};

}  // namespace ohmglow
