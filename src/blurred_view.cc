// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "blurred_view.h"

#include "ohmglow/align/registration_verdict.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {

void DoubtNone(LocateResult& result) {
  if (result.verdict != Verdict::kNone || !result.verdict_reason.empty()) return;
  if (JudgeRegistration(result.alignment).verdict != RegistrationVerdict::kFails) return;
  result.verdict_reason =
      Remark(RemarkKind::kViewCannotTell).With("error_px", result.alignment.median_residual_px);
}

}  // namespace ohmglow
