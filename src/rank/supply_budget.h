// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "heat/drive.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"
#include "rank/spot.h"

namespace ohmglow {

/// Reads the path of the current off the supply's log: a straight line through
/// the levels, volts = drop + ohm * amps. Leads, contacts, tracks and a short
/// make its slope; a junction on the way keeps its forward drop however small
/// the current, and takes drop times amps of the supply's watts.
/// @param top_amps_a  the highest current that lasts, > 0.
/// @return  empty where the log has no volts or fewer than two levels that
///          lie far enough apart, or where they are not on such a line.
/// Sources: Ohm's law and Kirchhoff's voltage law; reading them this way is
/// common practice, no source.
[[nodiscard]] std::optional<SupplyPath> ReadSupplyPath(const SupplyLog& log, double top_amps_a);

/// Logarithm of the ratio of marginal likelihoods that a junction lies on the
/// path, its drop anything between 0.1 and 1.2 V, over none; bounded to +- 6.
[[nodiscard]] double LogJunctionOnPath(const SupplyPath& path);

/// The most that a place can take of the supply's watts [W]: as a resistance,
/// or as a junction.
[[nodiscard]] double MostWatts(const SupplyPath& path, bool junction);

/// Where the log shows a drop, the plausible places that follow the current itself
/// take drop times amps together: their powers are scaled towards that, each
/// estimate weighed by its error. Heat that disagrees stays as it is: the
/// junction may be out of sight.
/// @param plausibilities  that each spot is a fault, by itself.
void ShareTheDrop(const SupplyPath& path,
                  std::span<const double> plausibilities,
                  std::vector<Spot>& spots);

/// No place turns more into heat than the supply delivers, or than the path's
/// drop or ohms can: cuts the power there and says so; the more is cut, the wider the interval.
/// @param supply_w  volts times amps at the highest current; 0: not known.
void BoundBySupply(double supply_w,
                   const std::optional<SupplyPath>& path,
                   bool junction,
                   Candidate& place);

/// Resistance or drop of a place that all the current flows through, from its power.
void AddReading(double top_amps_a, bool junction, Candidate& place);

/// Adds a remark on it, where either is known.
void SayReading(Candidate& place);

/// Takes that remark out.
void DropReadingRemark(Candidate& place);

/// What the supply gives at its highest current [W]; 0 where no volts are known.
[[nodiscard]] double TopWatts(const Drive& drive);

}  // namespace ohmglow
