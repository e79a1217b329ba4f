// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "bench.h"

#include <array>

#include "sources.h"

namespace ohmglow::simulate {
namespace {

constexpr double kMostVolts = 30;
constexpr double kMostAmps = 5;
constexpr double kBurning = 1000;  // Times the heat.

constexpr std::array kNames{BenchFaultName{"camera-stalls", BenchFault::kCameraStalls},
                            BenchFaultName{"camera-ends", BenchFault::kCameraEnds},
                            BenchFaultName{"camera-repeats", BenchFault::kCameraRepeats},
                            BenchFaultName{"supply-silent", BenchFault::kSupplySilent},
                            BenchFaultName{"supply-late", BenchFault::kSupplyLate},
                            BenchFaultName{"supply-gone", BenchFault::kSupplyGone},
                            BenchFaultName{"supply-leaks", BenchFault::kSupplyLeaks},
                            BenchFaultName{"supply-high", BenchFault::kSupplyHigh},
                            BenchFaultName{"supply-wrong", BenchFault::kSupplyWrong},
                            BenchFaultName{"supply-stuck", BenchFault::kSupplyStuck},
                            BenchFaultName{"part-opens", BenchFault::kPartOpens},
                            BenchFaultName{"part-burns", BenchFault::kPartBurns},
                            BenchFaultName{"dead-pixel", BenchFault::kDeadPixel}};

}  // namespace

std::span<const BenchFaultName> BenchFaultNames() { return kNames; }

Bench::Bench(const Setting& set, std::optional<BenchFault> fault, double fault_s)
    : set_(set), camera_(set), supply_(kMostVolts, kMostAmps), fault_(fault), fault_s_(fault_s) {
  const auto [ohm, volts] = RailLoad(set.sources, set.drive);
  supply_.load.ohm = ohm + set.scenario.load_ohm + set.scenario.lead_ohm;
  supply_.load.junction_v = volts;
}

// What flows through the board, told to the camera where it changes.
void Bench::Follow(double time_s) {
  const double amps = supply_.Amps();
  if (amps == amps_) return;
  amps_ = amps;
  camera_.Switch(time_s, amps);
}

void Bench::Begin() {
  begun_ = true;
  switch (*fault_) {
    case BenchFault::kSupplyLeaks:
      supply_.fault.leak_a = 0.1;
      break;
    case BenchFault::kSupplyHigh:
      supply_.fault.extra_v = kMostVolts;
      break;
    case BenchFault::kSupplyWrong:
      supply_.fault.current_ratio = 2;
      break;
    case BenchFault::kSupplyStuck:
      supply_.fault.stays_on = true;
      break;
    case BenchFault::kPartOpens:
      supply_.load.open = true;
      break;
    case BenchFault::kPartBurns:
      camera_.SetFaultPower(fault_s_, 0, kBurning * set_.sources.front().power_w);
      break;
    case BenchFault::kCameraStalls:
    case BenchFault::kCameraEnds:
    case BenchFault::kCameraRepeats:
    case BenchFault::kSupplySilent:
    case BenchFault::kSupplyLate:
    case BenchFault::kSupplyGone:
    case BenchFault::kDeadPixel:
      break;  // Of frames and connections: whoever carries these looks at Has().
  }
}

void Bench::Advance(double time_s) {
  if (begun_ || !fault_ || time_s < fault_s_) return;
  Begin();
  Follow(time_s);
}

std::string Bench::Take(std::string_view line, double time_s) {
  Advance(time_s);
  std::string answer = supply_.Take(line);
  Follow(time_s);
  return answer;
}

const Counts& Bench::Frame(std::size_t n) {
  const Counts& now = camera_.Take(n);
  if (!Has(BenchFault::kCameraRepeats) || shown_.empty()) now.copyTo(shown_);
  if (Has(BenchFault::kDeadPixel)) shown_(shown_.rows / 2, shown_.cols / 2) = 65534;
  return shown_;
}

}  // namespace ohmglow::simulate
