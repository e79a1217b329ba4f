// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "record/link.h"
#include "record/supply_words.h"

namespace ohmglow::record {

struct SwitchedOff {
  bool read_back = false;  ///< The supply says twice that it is off, and no current flows.
  double took_s = 0;       ///< Until it said so, or until this gave up.
};

/// Writes to standard error, if that can be done without waiting.
void Cry(const std::string& text);

/// What is told on standard error while it is switched off; made before, for there may be
/// no time.
struct Cries {
  std::string flows = "CURRENT STILL FLOWS";
  std::string not_off = "NOT OFF";
  std::string now_off = "now off";
};

/// A supply that must go off.
struct OffOptions {
  SupplyAddress address;
  SupplyWords words;
  double zero_amps_a = 0;  ///< So much may be measured where nothing flows.
  Cries cries;
};

/// Switches the output off and reads that back, whatever stands in the way:
/// late answers are let pass, a broken connection is opened anew. Where the
/// supply stays silent or on, or current still flows, it sets no amps and no
/// volts, cries on standard error that only a hand can switch it off, and goes
/// on trying.
/// @param link   replaced where the connection was opened anew.
/// @param alive  called now and then meanwhile, where there is one.
SwitchedOff SwitchOff(std::unique_ptr<Link>& link,
                      const OffOptions& options,
                      double give_up_s,
                      const std::function<void()>& alive = {});

/// One more try after SwitchOff() gave up, over a new connection where there can be one.
/// Cries again where it fails, and says where it does not.
SwitchedOff SwitchOffAgain(std::unique_ptr<Link>& link,
                           const OffOptions& options,
                           const std::function<void()>& alive = {});

}  // namespace ohmglow::record
