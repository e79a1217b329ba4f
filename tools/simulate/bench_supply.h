// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace ohmglow::simulate {

/// What hangs on a supply's terminals.
struct Load {
  double ohm = 0.2;
  double junction_v = 0;
  bool open = false;  ///< Burnt through.
};

/// What a faulty supply does.
struct SupplyFault {
  double leak_a = 0;         ///< Flows although the output is off.
  double extra_v = 0;        ///< On the terminals above what the load asks for.
  double current_ratio = 1;  ///< Of what flows to what was set.
  bool stays_on = false;     ///< Ignores that it is switched off.
};

/// A bench supply with one output: what it was set to, what flows, and its
/// answers to lines of SCPI-1999 (standard commands, seen quoted):
/// *IDN? *CLS VOLT CURR OUTP with their queries, MEAS:VOLT? MEAS:CURR? SYST:ERR?.
class BenchSupply {
 public:
  BenchSupply(double most_volts, double most_amps) : most_v_(most_volts), most_a_(most_amps) {}

  /// @return  the answer without its end of line; empty where the line is no query.
  std::string Take(std::string_view line);

  [[nodiscard]] double Amps() const;
  [[nodiscard]] double Volts() const;
  [[nodiscard]] bool on() const { return on_; }
  [[nodiscard]] double set_amps() const { return set_a_; }
  Load load;
  SupplyFault fault;

 private:
  std::string Query(const std::string& word) const;
  void Set(const std::string& word, const std::string& value);

  double most_v_, most_a_;
  double set_v_ = 0, set_a_ = 0;
  bool on_ = false;
  std::string error_;
};

}  // namespace ohmglow::simulate
