// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/result.h"

namespace ohmglow {

/// What to do next, most useful first, and the cautions that apply to it.
/// @param contacts_marked  the case says where the supply's leads touch.
/// @param course_advice    on the course of the current; empty where it does well.
[[nodiscard]] std::vector<std::string> Advise(const LocateResult& result,
                                              bool contacts_marked = false,
                                              const std::string& course_advice = {});

}  // namespace ohmglow
