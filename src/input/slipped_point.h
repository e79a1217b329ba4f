// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace ohmglow {

/// Values that are ten, a hundred or a thousand times larger or smaller than both those before
/// and both those behind, which agree: a decimal point that slipped. A reading of a real pulse
/// hits such a ratio within 5 % hardly ever; a log with a row for each level never has two equal
/// ones on either side.
/// @return  their indices, rising.
[[nodiscard]] std::vector<std::size_t> FindSlippedPoints(std::span<const double> values);

}  // namespace ohmglow
