// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/pair_power.h"

#include <algorithm>
#include <vector>

#include "rank/supply_budget.h"
#include "twosided/capture_view.h"
#include "twosided/joint_power.h"
#include "twosided/pair_remarks.h"

namespace ohmglow {
namespace {

LogPower OwnPower(const PairView& pair, int i) {
  if (!pair.candidates[i]) return {0, 1};
  const HeatSide true_side = i == pair.near ? HeatSide::kNear : HeatSide::kFar;
  const HeatSide alone = pair.candidates[i]->side;
  return PowerOf(
      *pair.candidates[i], pair.factor[i], alone != HeatSide::kUndecided && alone != true_side);
}

// From the joint power, at the current that it stands for.
void SetReading(double top_amps_a, Candidate& place) {
  DropReadingRemark(place);
  const bool resistance = place.resistance_ohm.has_value();
  const bool junction = place.drop_v.has_value();
  place.resistance_ohm.reset();
  place.drop_v.reset();
  if (!resistance && !junction) return;
  AddReading(top_amps_a, junction, place);
  SayReading(place);
}

// The same supply: shares go with powers.
void SetShare(const Candidate* here, Candidate& place) {
  if (here != nullptr && here->share_of_supply && here->power_w > 0) {
    place.share_of_supply = std::min(1.0, *here->share_of_supply * place.power_w / here->power_w);
  } else {
    place.share_of_supply.reset();
  }
}

}  // namespace

std::optional<Remark> JoinPairPower(const PairView& pair, Candidate& place) {
  const LogPower near = OwnPower(pair, pair.near);
  const LogPower far = OwnPower(pair, pair.far());
  const JointPower power = JoinPowers(near, far);
  place.power_w = power.power_w;
  place.power_low_w = power.low_w;
  place.power_high_w = power.high_w;
  SetReading(TopAmps(pair.captures[0]->result), place);
  SetShare(pair.candidates[0], place);
  if (!power.conflict) return std::nullopt;
  return PowersDisagree(near, far);
}

}  // namespace ohmglow
