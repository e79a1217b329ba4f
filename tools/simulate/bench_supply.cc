// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "bench_supply.h"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cstdio>

namespace ohmglow::simulate {
namespace {

constexpr const char* kNoError = "0,\"No error\"";
constexpr double kOpenOhm = 1e7;

std::string Number(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%.4f", value);
  return text;
}

std::string Upper(std::string_view text) {
  std::string upper(text);
  for (char& c : upper) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return upper;
}

}  // namespace

double BenchSupply::Amps() const {
  if (!on_) return fault.leak_a;
  const double ohm = load.open ? kOpenOhm : load.ohm;
  const double most_a = std::max(0.0, set_v_ - load.junction_v) / ohm;
  return fault.leak_a + fault.current_ratio * std::min(set_a_, most_a);
}

double BenchSupply::Volts() const {
  if (!on_) return fault.leak_a * load.ohm;
  const double amps = Amps();
  const double volts = load.open ? set_v_ : amps * load.ohm + (amps > 0 ? load.junction_v : 0);
  return volts + fault.extra_v;
}

std::string BenchSupply::Query(const std::string& word) const {
  if (word == "*IDN") return "Invented bench,SIM-1,0001,1.0";
  if (word == "VOLT") return Number(set_v_);
  if (word == "CURR") return Number(set_a_);
  if (word == "OUTP") return on_ ? "1" : "0";
  if (word == "MEAS:VOLT") return Number(Volts());
  if (word == "MEAS:CURR") return Number(Amps());
  return "";
}

void BenchSupply::Set(const std::string& word, const std::string& value) {
  if (word == "*CLS") {
    error_.clear();
    return;
  }
  if (word == "OUTP") {
    const bool wanted = value == "ON" || value == "1";
    if (wanted || !fault.stays_on) on_ = wanted;
    return;
  }
  double number = 0;
  const auto [rest, code] = std::from_chars(value.data(), value.data() + value.size(), number);
  const double most = word == "VOLT" ? most_v_ : most_a_;
  if (word != "VOLT" && word != "CURR") {
    error_ = "-113,\"Undefined header\"";
  } else if (code != std::errc() || rest != value.data() + value.size()) {
    error_ = "-104,\"Data type error\"";
  } else if (number < 0 || number > most) {
    error_ = "-222,\"Data out of range\"";
  } else {
    (word == "VOLT" ? set_v_ : set_a_) = number;
  }
}

std::string BenchSupply::Take(std::string_view line) {
  const std::string all = Upper(line.substr(0, line.find_last_not_of(" \r\n") + 1));
  const auto blank = all.find(' ');
  std::string word = all.substr(0, blank);
  if (word.empty()) return "";
  if (!word.ends_with('?')) {
    Set(word, blank == std::string::npos ? "" : all.substr(all.find_first_not_of(' ', blank)));
    return "";
  }
  word.pop_back();
  if (word == "SYST:ERR") {
    std::string error = error_.empty() ? kNoError : error_;
    error_.clear();
    return error;
  }
  std::string answer = Query(word);
  if (answer.empty()) error_ = "-113,\"Undefined header\"";
  return answer;
}

}  // namespace ohmglow::simulate
