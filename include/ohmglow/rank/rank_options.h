// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow {

struct RankOptions {
  double false_alarm_prob = 0.01;  ///< Per capture, of the detection threshold; in (0, 0.5).
  int max_candidates = 8;          ///< Places kept in the list; >= 1.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

}  // namespace ohmglow
