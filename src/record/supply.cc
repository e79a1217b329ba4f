// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/supply.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <string_view>
#include <utility>

#include "input/text.h"

namespace ohmglow::record {
namespace {

// What was set is read back so near: supplies round to a few millivolts and milliamperes.
constexpr double kSetShare = 0.02;
constexpr double kSetStep = 0.011;
constexpr double kTickS = 0.05;

std::string Filled(std::string line, double value) {
  char number[32];
  std::snprintf(number, sizeof number, "%.4f", value);
  return line.replace(line.find("{}"), 2, number);
}

// Instruments put blanks, quotes and another end of line around what they say.
std::string Bare(const std::string& answer) {
  std::string_view text = Trim(answer);
  const bool quoted = text.size() >= 2 && (text.front() == '"' || text.front() == '\'');
  if (quoted && text.back() == text.front()) text = Trim(text.substr(1, text.size() - 2));
  return std::string(text);
}

double Number(const std::string& answer) {
  // Some add the unit: "0.500A".
  const auto end = answer.find_last_of("0123456789.");
  std::string text = answer.substr(0, end == std::string::npos ? 0 : end + 1);
  text.erase(0, text.find_first_not_of(" +"));
  return ParseNumber(text).value_or(std::numeric_limits<double>::quiet_NaN());
}

}  // namespace

void Supply::WakeBy(int fd, std::function<bool()> woken) {
  wake_fd_ = fd;
  woken_ = std::move(woken);
}

void Supply::Say(const std::string& line) {
  if (!link_.Write(line + (words_.line_end == "crlf" ? "\r\n" : "\n"))) throw SupplySilence{true};
}

std::string Supply::Ask(const std::string& line, double within_s) {
  Say(line);
  ++owed_;
  const double until_s = NowSeconds() + (within_s > 0 ? within_s : words_.answer_s);
  std::string answer;
  // Answers that are owed come first; the last one is ours.
  while (owed_ > 0) {
    if (tick_) tick_();
    const bool sliced = tick_ && link_.waits_shortly();
    const double slice_s = sliced ? std::min(until_s, NowSeconds() + kTickS) : until_s;
    const ReadEnd end = link_.ReadLine(slice_s, wake_fd_, woken_, answer);
    if (end == ReadEnd::kTimeout && sliced && slice_s < until_s) continue;
    if (end == ReadEnd::kLost) throw SupplySilence{true};
    if (end == ReadEnd::kWoken) throw SupplyWoken{};
    if (end == ReadEnd::kTimeout) throw SupplySilence{};
    answer = Bare(answer);
    // No instrument answers nothing: an empty line belongs to its end of line.
    if (!answer.empty()) --owed_;
  }
  return answer;
}

void Supply::Start() {
  if (!words_.start.empty()) Say(words_.start);
}

std::string Supply::Identify() { return Ask(words_.identify); }

std::string Supply::Set(const std::string& line, const std::string& query, double value) {
  Say(Filled(line, value));
  const std::string answer = Ask(query);
  const double got = Number(answer);
  if (std::abs(got - value) <= kSetShare * value + kSetStep) return "";
  return "'" + Filled(line, value) + "', then '" + query + "': '" + answer + "'";
}

std::string Supply::SetVolts(double volts) {
  return Set(words_.set_volts, words_.get_volts, volts);
}

std::string Supply::SetAmps(double amps) { return Set(words_.set_amps, words_.get_amps, amps); }

void Supply::SayOn() { Say(words_.on); }

bool Supply::SayOff() {
  return link_.Write(words_.off + (words_.line_end == "crlf" ? "\r\n" : "\n"));
}

bool Supply::ReadOutput(double within_s) {
  const std::string answer = Ask(words_.get_output, within_s);
  // A late answer to another question must not pass for "off".
  return !(answer == "0" || answer == "+0" || ToLower(answer) == "off");
}

double Supply::MeasureVolts() { return Number(Ask(words_.measure_volts)); }

double Supply::MeasureAmps(double within_s) { return Number(Ask(words_.measure_amps, within_s)); }

void Supply::SayZero() {
  Say(Filled(words_.set_amps, 0));
  Say(Filled(words_.set_volts, 0));
}

std::string Supply::ReadError() {
  if (words_.error.empty()) return "";
  const std::string answer = Ask(words_.error);
  // SCPI-1999, vol. 2, SYSTem:ERRor: 0 is "no error" (seen quoted).
  const bool none = answer.starts_with("0") || answer.starts_with("+0") || answer.starts_with("-0");
  return none ? "" : answer;
}

}  // namespace ohmglow::record
