// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "align/texture.h"

namespace ohmglow::internal {

/// A frame where it lies now, and how its residuals change around.
struct PlacedQuadratics {
  MotionVector motion;
  std::array<Quadratic, 2> halves;
};

struct ModelChoice {
  MotionModel model = MotionModel::kShift;
  /// By model, how much less of one half of the picture it leaves unexplained
  /// than the shift does, when fitted to the other half: log-likelihood a
  /// frame, penalised by what its own noise spoils there.
  std::array<double, kNumMotionModels> gain{};
};

/// Chooses how much freedom the motion has: each model is fitted to one half of
/// the picture and judged by the other, both ways, over all frames. A larger
/// model is taken only where it gains more than twice the gain's own standard
/// error over the frames. Parameters that a model does not have stay what they
/// are on average. Source: Stone, J. R. Stat. Soc. B 36 (1974) 111-147
/// (cross-validatory choice).
[[nodiscard]] ModelChoice ChooseModel(const std::vector<PlacedQuadratics>& frames);

}  // namespace ohmglow::internal
