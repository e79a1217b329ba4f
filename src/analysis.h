// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// What was computed on the way to a result, for whatever asks further
/// questions of the same capture.
struct Analysis {
  LocateResult result;
  std::unique_ptr<const TemporalModel> model;
  std::unique_ptr<const Drive> drive;
  Response response;
};

/// The one chain of stages, from a capture to its ranked places; see Locate().
[[nodiscard]] Analysis Analyze(const Case& job, const LocateOptions& options);

}  // namespace ohmglow
