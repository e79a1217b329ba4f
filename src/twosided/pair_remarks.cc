// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/pair_remarks.h"

#include <algorithm>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {

Remark NameOfSide(BoardSide side) {
  return Remark(side == BoardSide::kTop ? RemarkKind::kSideTop : RemarkKind::kSideBottom);
}

Remark DescribeViews(const PairView& pair) {
  if (!pair.views[0].filmed) return Remark(RemarkKind::kThisSideMissesIt);
  if (!pair.views[1].filmed) return Remark(RemarkKind::kOtherSideMissesIt);
  return Remark(RemarkKind::kSeenFromBoth)
      .With("side", NameOfSide(pair.captures[0]->result.side))
      .With("here_k", std::max(0.0, pair.views[0].rise_k))
      .With("there_k", std::max(0.0, pair.views[1].rise_k))
      .With("percent", 100 * std::min(pair.near_prob(), 0.99))
      .With("likely_side", NameOfSide(pair.captures[pair.near]->result.side));
}

std::vector<Remark> ListContradictions(const PairView& pair) {
  std::vector<Remark> conflicts;
  if (pair.FitsPoorly()) {
    conflicts.emplace_back(pair.evidence.missing ? RemarkKind::kMissingOnOtherSide
                                                 : RemarkKind::kStrongerOnOtherSide);
  }
  if (pair.evidence.both_claim_it) conflicts.emplace_back(RemarkKind::kBothClaimIt);
  if (pair.evidence.none_claims_it) conflicts.emplace_back(RemarkKind::kNoneClaimsIt);
  return conflicts;
}

Remark PowersDisagree(const LogPower& near, const LogPower& far) {
  return Remark(RemarkKind::kPowersDisagree)
      .With("own_w", near.power_w)
      .With("other_w", far.power_w);
}

}  // namespace ohmglow
