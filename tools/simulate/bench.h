// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "bench_supply.h"
#include "capture.h"

namespace ohmglow::simulate {

/// What goes wrong on a bench, and when.
enum class BenchFault {
  kCameraStalls,   ///< No frame comes any more.
  kCameraEnds,     ///< The stream of frames ends.
  kCameraRepeats,  ///< The same frame again and again.
  kSupplySilent,   ///< Obeys, but answers no more.
  kSupplyLate,     ///< Obeys, but answers 1 s late.
  kSupplyGone,     ///< Hangs up; a new connection is taken.
  kSupplyLeaks,    ///< Current flows although the output is off.
  kSupplyHigh,     ///< More volts than were set.
  kSupplyWrong,    ///< Twice the current that was set.
  kSupplyStuck,    ///< Cannot be switched off.
  kPartOpens,      ///< The short burns through: no current flows any more.
  kPartBurns,      ///< It takes a thousand times the heat.
  kDeadPixel,      ///< One pixel shows the hottest there is: must not matter.
};

struct BenchFaultName {
  std::string_view name;
  BenchFault fault;
};

/// All, with the words of the command line.
[[nodiscard]] std::span<const BenchFaultName> BenchFaultNames();

/// Camera and supply of one invented board together, on one clock that the caller
/// keeps: heat follows what is really commanded. One thread may draw frames while another
/// does all else; faults begin by Take() and Advance() alone.
class Bench {
 public:
  /// @param set      must live as long as this.
  /// @param fault    begins at `fault_s`.
  Bench(const Setting& set, std::optional<BenchFault> fault, double fault_s);

  /// A line that reaches the supply at a time [s]; times must not run backwards.
  std::string Take(std::string_view line, double time_s);
  /// Frame n of Setting::times_s, in rising order.
  const Counts& Frame(std::size_t n);
  /// Lets a fault begin whose time has come.
  void Advance(double time_s);
  /// Whether a fault has begun.
  [[nodiscard]] bool Has(BenchFault fault) const { return begun_ && fault_ == fault; }
  [[nodiscard]] const BenchSupply& supply() const { return supply_; }
  [[nodiscard]] std::size_t num_frames() const { return set_.times_s.size(); }
  [[nodiscard]] double FrameTime(std::size_t n) const { return set_.times_s[n]; }

 private:
  void Begin();
  void Follow(double time_s);

  const Setting& set_;
  LiveCamera camera_;
  BenchSupply supply_;
  std::optional<BenchFault> fault_;
  double fault_s_;
  std::atomic<bool> begun_ = false;
  double amps_ = 0;
  Counts shown_;
};

}  // namespace ohmglow::simulate
