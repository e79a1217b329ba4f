// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <ostream>
#include <string>
#include <vector>

#include "ohmglow/words/say.h"

namespace ohmglow {

/// For messages of tests.
inline std::ostream& operator<<(std::ostream& out, const Remark& remark) {
  return out << Say(remark);
}

namespace testing {

/// Whether the English sentence holds some words.
inline bool Says(const Remark& remark, const std::string& words) {
  return Say(remark).find(words) != std::string::npos;
}

/// Whether one of them does.
inline bool Says(const std::vector<Remark>& remarks, const std::string& words) {
  return std::any_of(
      remarks.begin(), remarks.end(), [&](const Remark& remark) { return Says(remark, words); });
}

}  // namespace testing
}  // namespace ohmglow
