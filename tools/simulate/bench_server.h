// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "bench.h"
#include "scenario.h"

namespace ohmglow::simulate {

struct BenchOptions {
  int port = 0;        ///< Of 127.0.0.1; 0: any free one, told on standard error.
  double speed = 1;    ///< Seconds of the bench in one of the clock.
  std::string out;     ///< Folder for board/ and truth.json; empty: none.
  std::string events;  ///< File for what happened when; empty: none.
  std::optional<BenchFault> fault;
  double fault_s = 20;
};

/// Plays an invented bench until its camera's time is over or nobody reads any more:
/// frames on standard output (16 bits, the least significant byte first), the supply
/// on a TCP port. The events file gets a line "seconds,what" by the steady clock for
/// each switching of the output and for the fault's begin.
void RunBench(const Scenario& scenario, const BenchOptions& options);

}  // namespace ohmglow::simulate
