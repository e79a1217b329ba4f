// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>

namespace ohmglow::record {

/// The lines in which supplies differ, and how long an answer may take. The defaults
/// are short forms of SCPI-1999's standard commands (seen quoted) and IEEE 488.2's *IDN?.
struct SupplyWords {
  std::string start;  ///< Sent first, such as a lock of the front panel or a channel; empty: none.
  std::string identify = "*IDN?";
  std::string set_volts = "VOLT {}";  ///< {} stands for the number.
  std::string set_amps = "CURR {}";
  std::string get_volts = "VOLT?";
  std::string get_amps = "CURR?";
  std::string on = "OUTP ON";
  std::string off = "OUTP OFF";
  std::string get_output = "OUTP?";
  std::string measure_volts = "MEAS:VOLT?";
  std::string measure_amps = "MEAS:CURR?";
  std::string error = "SYST:ERR?";
  std::string line_end = "lf";  ///< lf or crlf.
  double answer_s = 0.17;       ///< 0.02 to 0.2: the guards rest on it.

  void Validate() const;  ///< @throws OptionError
};

/// Reads an .ini file with the members' names as keys; what it leaves out is as above.
/// @throws InputError  naming file, line and rule.
[[nodiscard]] SupplyWords ReadSupplyWords(const std::filesystem::path& file);

}  // namespace ohmglow::record
