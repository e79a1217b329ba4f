// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/check/capture_check.h"

namespace ohmglow::internal {

/// What of an analysis the list of things to do is made from.
struct Judged {
  std::string refusal;   ///< Why there is no analysis; empty where there is one.
  Remark course_advice;  ///< On the course of the current; may be empty.
  std::vector<Remark> supply_remarks;
  double clock_sigma_s = 0;     ///< Where it was searched.
  int out_of_range_px = 0;      ///< Pixels, as they are worked on, that left the range.
  double top_w = 0;             ///< Of the supply at the highest current; 0: not known.
  std::vector<Remark> untied;   ///< What of photo and list could not be laid on the frames.
  std::string unsized_columns;  ///< As Case::unsized_columns.
};

/// What the next capture should do otherwise, needed things first; the numbers
/// of `check` must stand.
[[nodiscard]] std::vector<ToDo> ListToDo(const CaptureCheck& check, const Judged& judged);

}  // namespace ohmglow::internal
