// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/summary_words.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmglow::batch {

std::string_view StatusKey(CaseStatus status) {
  switch (status) {
    case CaseStatus::kDone:
      return "done";
    case CaseStatus::kFailed:
      return "failed";
    case CaseStatus::kMissing:
      break;
  }
  return "missing";
}

double TopAmps(const LocateResult& result) {
  double top = std::numeric_limits<double>::quiet_NaN();
  for (const SupplyLevel& level : result.levels) top = std::fmax(top, level.amps_a);
  return top;
}

}  // namespace ohmglow::batch
