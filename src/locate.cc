// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/locate.h"

#include "analysis.h"
#include "binning/binning.h"
#include "binning/unbin.h"

namespace ohmglow {

void LocateOptions::Validate() const {
  align.Validate();
  heat.Validate();
  rank.Validate();
}

LocateResult Locate(const Case& job, const LocateOptions& options) {
  const int binning = ChooseBinning(job);
  LocateResult result = Analyze(Binned(job, binning), options).result;
  Unbin(job, binning, result);
  return result;
}

}  // namespace ohmglow
