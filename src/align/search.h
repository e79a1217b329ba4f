// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/texture.h"

namespace ohmglow::internal {

/// The frame halved (mean of 2 x 2 pixels), whose centre stays the centre.
void Halve(const Image& image, Image& out);

inline constexpr int kAllLevels = 3;

/// Registers frames that may lie anywhere in the search range: Gauss-Newton
/// from coarse to fine, and correlation over the whole range where the fit
/// from the predicted place is poor.
class CoarseToFine {
 public:
  /// @param model_k, weight  as for Texture.
  CoarseToFine(const Image& model_k,
               const Image& weight,
               int max_points,
               double max_shift_px,
               MotionModel model,
               int max_levels = kAllLevels);

  [[nodiscard]] const Texture& finest() const { return levels_.front(); }
  /// Gauss-Newton through all levels from `start`.
  [[nodiscard]] MotionFit Fit(const Image& frame_k,
                              const Motion& start,
                              int finest_iterations = 10) const;
  /// Correlates over shifts up to the range and rotations up to 4 degrees
  /// around `around`, then fits; the best of the most promising places.
  [[nodiscard]] MotionFit Search(const Image& frame_k, const Motion& around) const;

 private:
  double max_shift_px_;
  Image model_k_;  // Weighted model at half size.
  std::vector<Texture> levels_;
};

}  // namespace ohmglow::internal
