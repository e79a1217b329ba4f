// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>

#include "ohmglow/align/alignment.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"
#include "ohmglow/rank/rank_options.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// One option struct per stage.
struct LocateOptions {
  AlignOptions align;
  HeatOptions heat;
  RankOptions rank;
  /// Called with the share of the whole work done, 0 .. 1; may be empty.
  std::function<void(double)> progress;

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// The whole job: from a capture to a ranked list of places that may be the
/// short. "Nothing found" is an ordinary answer (`Verdict::kNone`).
/// @param job  a loaded case; its frames are read several times, never kept.
/// @throws OptionError, DataError (for example: no current step in the log),
///         InputError (a frame that cannot be read).
[[nodiscard]] LocateResult Locate(const Case& job, const LocateOptions& options);

}  // namespace ohmglow
