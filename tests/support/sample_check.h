// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/check/registration_check.h"

namespace ohmglow::testing {

struct SampleCheckOptions {
  RegistrationVerdict verdict = RegistrationVerdict::kHolds;
  cv::Size frame_px{160, 120};
  bool tied = true;           ///< To the photo of MakeSamplePhoto().
  bool with_left_out = true;  ///< Some frames are not used.
};

/// A registration as `CheckRegistration` might return it, all values made up.
[[nodiscard]] RegistrationCheck MakeSampleCheck(const SampleCheckOptions& options);

}  // namespace ohmglow::testing
