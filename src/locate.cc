// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/locate.h"

#include "analysis.h"

namespace ohmglow {

void LocateOptions::Validate() const {
  align.Validate();
  heat.Validate();
  rank.Validate();
}

LocateResult Locate(const Case& job, const LocateOptions& options) {
  return Analyze(job, options).result;
}

}  // namespace ohmglow
