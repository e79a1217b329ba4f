// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/base/clause.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// Clauses one after the other: each by its key, or that with ".one" where its `count` is 1
/// and the catalogue has it. Numbers have the forms that a remark's have, see say.h.
[[nodiscard]] std::string SayClauses(const std::vector<Clause>& clauses,
                                     const Words& words = Words::Report());

}  // namespace ohmglow
