// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "record/link.h"
#include "record/supply_words.h"

namespace ohmglow::record {

struct SwitchedOff {
  bool read_back = false;  ///< The supply itself says that its output is off.
  double took_s = 0;       ///< Until it said so, or until this gave up.
};

/// Switches the output off and reads that back, whatever stands in the way: a late answer
/// is waited for, a broken connection opened anew. Where the supply stays silent or on, it
/// cries on standard error that only a hand can switch it off, and goes on trying.
/// @param link  replaced where the connection was opened anew.
SwitchedOff SwitchOff(std::unique_ptr<Link>& link,
                      const SupplyAddress& address,
                      const SupplyWords& words,
                      double give_up_s);

}  // namespace ohmglow::record
