// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "analysis.h"
#include "supply_course.h"

namespace ohmglow {

/// Brings the supply's course and the frames onto one clock and fits what follows it: sets
/// drive, model and response of `out`, and what its result says of the supply.
/// @param stack  taken, since its bins and what follows the supply are each as large as the
///               other: nobody holds them longer than needed.
/// @return  the course that was followed.
/// @throws DataError  where no step of the current lies in the frames, see also MatchClocks().
[[nodiscard]] SupplyCourse FollowSupply(const Case& job,
                                        const LocateOptions& options,
                                        Stack stack,
                                        Analysis& out);

}  // namespace ohmglow
