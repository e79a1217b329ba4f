// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/input/case.h"
#include "ohmglow/rank/rank_options.h"
#include "ohmglow/result.h"

namespace ohmglow {

struct Ranking {
  Verdict verdict = Verdict::kNone;
  std::vector<Candidate> candidates;  ///< Best first.
  double elsewhere_prob = 1;          ///< That the fault is at none of them.
  double list_fits = 1;               ///< That the parts list is of this board.
  std::optional<SupplyPath> supply_path;
  std::optional<PlateFit> plate;  ///< By the strongest round place that is no clip, rim or body.
};

/// Signal-to-noise ratio that the detector reaches by noise alone with the
/// probability of a false alarm.
[[nodiscard]] double PlaceThreshold(const Response& response, const RankOptions& options);

/// Finds the places in the response, measures each, and orders them by the
/// probability that the fault dissipates there.
[[nodiscard]] Ranking RankSources(const Response& response,
                                  const TemporalModel& model,
                                  const Drive& drive,
                                  const BoardMaps& maps,
                                  const Case& job,
                                  const RankOptions& options);

}  // namespace ohmglow
