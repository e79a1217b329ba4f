// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/growth_remark.h"

#include <algorithm>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr double kBarSigmas = 2 * 1.96;  // The whole bar of 95 %.
// Heat this far out of the noise whose exponent is known to a quarter (95 %) is
// not faint: its levels are blurred by slow warming, not by noise.
constexpr double kBrightSnr = 30;
constexpr double kKnownExponent = 0.25;

bool IsGrowthRemark(const Remark& remark) {
  return remark.kind == RemarkKind::kGrowsSquare || remark.kind == RemarkKind::kGrowsLinear ||
         remark.kind == RemarkKind::kGrowsOtherwise;
}

}  // namespace

bool GrowthCanBeRead(const Candidate& candidate) {
  if (candidate.levels.empty()) return true;
  const double exponent_error = 1.96 * candidate.current_exponent_sigma.value_or(9);
  if (candidate.snr > kBrightSnr && exponent_error < kKnownExponent) return true;
  const LevelRise& top = candidate.levels.back();
  return kBarSigmas * top.sigma_k <= top.rise_k;
}

void SayWhereGrowthCannotBeRead(Candidate& candidate) {
  if (GrowthCanBeRead(candidate)) return;
  std::replace_if(candidate.remarks.begin(),
                  candidate.remarks.end(),
                  IsGrowthRemark,
                  Remark(RemarkKind::kGrowthTooFaint));
}

void DropGrowthRemark(Candidate& candidate) { std::erase_if(candidate.remarks, IsGrowthRemark); }

}  // namespace ohmglow
