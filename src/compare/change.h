// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/compare/compare.h"

namespace ohmglow {

/// What became of a place, as probabilities that sum to 1.
struct ChangeProbs {
  double gone = 0;
  double weaker = 0;
  double unchanged = 0;
  double stronger = 0;
};

/// Posterior over the ratio after/before given its estimate. Prior: repairs
/// succeed about as often as they fail; an old fault comes back with the same
/// strength to a fifth; the rest is spread out.
/// @param sigma       standard error at ratio 0; a tenth of the ratio is added.
/// @param gone_share  ratios below it count as gone.
[[nodiscard]] ChangeProbs JudgeChange(double ratio, double sigma, double gone_share);

/// The likeliest, or kUnknown where none is likelier than 0.6.
[[nodiscard]] PlaceChange LikeliestChange(const ChangeProbs& probs);

/// A good part of the old heat may be left, at 95 % (0.4 of it and more), however likely it is
/// that it is gone.
[[nodiscard]] bool MayBeLeft(double ratio, double sigma);

/// 95 % upper limit of ratio x power: ratio normal but not negative, the
/// logarithm of the power normal.
[[nodiscard]] double UpperLimit(double ratio, double sigma, double power_w, double power_log_sigma);

}  // namespace ohmglow
