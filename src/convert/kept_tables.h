// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/input/surface_region.h"

namespace ohmglow {

// The tables of a case folder, see ohmglow-case(5): commas, decimal points, numbers that
// read back the same, cells quoted where they must be (RFC 4180).

[[nodiscard]] std::string TimesTable(const std::vector<double>& times_s);
/// Without the column of volts where the log has none.
[[nodiscard]] std::string SupplyTable(const SupplyLog& log);
[[nodiscard]] std::string StepsTable(const std::vector<SetLevel>& levels);
[[nodiscard]] std::string PointsTable(const std::vector<Landmark>& landmarks);
[[nodiscard]] std::string PartsTable(const std::vector<Part>& parts);
[[nodiscard]] std::string ContactsTable(const std::vector<Contact>& contacts);

/// Columns of pixels and of millimetres; each row fills those it needs.
[[nodiscard]] std::string SurfaceTable(const std::vector<SurfaceRegion>& regions);

}  // namespace ohmglow
