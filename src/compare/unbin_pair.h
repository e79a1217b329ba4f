// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

#include "ohmglow/compare/compare.h"

namespace ohmglow {

/// Puts a comparison of captures in larger pixels (binning/binning.h) in pixels of their frames.
/// @param binning  BEFORE's and AFTER's.
void UnbinPair(const Case& before,
               const Case& after,
               const std::array<int, 2>& binning,
               CompareResult& out);

}  // namespace ohmglow
