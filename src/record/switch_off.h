// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>

#include "record/link.h"
#include "record/supply_words.h"

namespace ohmglow::record {

struct SwitchedOff {
  bool read_back = false;  ///< The supply says twice that it is off, and no current flows.
  double took_s = 0;       ///< Until it said so, or until this gave up.
};

/// Switches the output off and reads that back, whatever stands in the way:
/// late answers are let pass, a broken connection is opened anew. Where the
/// supply stays silent or on, or current still flows, it sets no amps and no
/// volts, cries on standard error that only a hand can switch it off, and goes
/// on trying.
/// @param link         replaced where the connection was opened anew.
/// @param zero_amps_a  so much may be measured where nothing flows.
/// @param alive        called now and then meanwhile, where there is one.
SwitchedOff SwitchOff(std::unique_ptr<Link>& link,
                      const SupplyAddress& address,
                      const SupplyWords& words,
                      double zero_amps_a,
                      double give_up_s,
                      const std::function<void()>& alive = {});

}  // namespace ohmglow::record
