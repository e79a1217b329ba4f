// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "ohmglow/base/remark.h"

namespace ohmglow {

/// A clause of a catalogue of reports, by its key. {start} in it is what the clauses
/// before it say. See SayClauses() in words/say_clauses.h.
struct Clause {
  std::string key;
  Remark values = {};
};

}  // namespace ohmglow
