// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/registration_verdict.h"

#include <algorithm>
#include <vector>

namespace ohmglow {
namespace {

constexpr double kLargeHoldsPx = 0.25;
constexpr double kNotToldPx = 2;  // The frame's place is guessed rather than measured.
constexpr double kDoubtful = 3;   // Times as much.

RegistrationVerdict VerdictOf(double middle_px, double large_px) {
  const double ratio = std::max(middle_px / kHoldsPx, large_px / kLargeHoldsPx);
  return middle_px >= kNotToldPx ? RegistrationVerdict::kNotTold
         : ratio <= 1            ? RegistrationVerdict::kHolds
         : ratio <= kDoubtful    ? RegistrationVerdict::kDoubtful
                                 : RegistrationVerdict::kFails;
}

}  // namespace

RegistrationErrors JudgeRegistration(const Alignment& alignment) {
  std::vector<double> errors_px;
  for (const FrameState& frame : alignment.frames) {
    if (frame.used) errors_px.push_back(frame.residual_px);
  }
  std::sort(errors_px.begin(), errors_px.end());
  const double middle_px = errors_px[errors_px.size() / 2];
  const double large_px = errors_px[errors_px.size() * 95 / 100];
  return {middle_px, large_px, VerdictOf(middle_px, large_px)};
}

}  // namespace ohmglow
