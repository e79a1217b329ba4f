// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "record/guardian.h"

namespace ohmglow::record::internal {

/// What the recorder tells its guardian: one datagram each, between two processes of
/// one program.
struct Order {
  enum class Kind { kBeat, kLevel, kEnd } kind = Kind::kBeat;
  double amps_a = 0;
  double volts_v = 0;
};

/// GuardianReport without pointers.
struct WireReport {
  GuardianReport::Kind kind;
  SupplyReading reading;
  Cause cause;
  double value;
  double limit;
  bool read_back;
  double off_s;
  double answer_s;
  double ready_off_s;
  char text[240];  // Identity, or the trip's detail.
};

[[nodiscard]] WireReport ToWire(const GuardianReport& report);
[[nodiscard]] GuardianReport FromWire(const WireReport& wire);

/// The guardian's life; does not return before the recorder is gone or says so.
void RunGuardian(const SupplyOptions& options,
                 const OffOptions& off,
                 std::unique_ptr<Link> link,
                 int socket);

}  // namespace ohmglow::record::internal
