// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/supply_words.h"

#include <array>
#include <vector>

#include "input/ini_file.h"
#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

struct Word {
  const char* key;
  std::string SupplyWords::*text;
};

constexpr std::array kWords{Word{"start", &SupplyWords::start},
                            Word{"identify", &SupplyWords::identify},
                            Word{"set_volts", &SupplyWords::set_volts},
                            Word{"set_amps", &SupplyWords::set_amps},
                            Word{"get_volts", &SupplyWords::get_volts},
                            Word{"get_amps", &SupplyWords::get_amps},
                            Word{"on", &SupplyWords::on},
                            Word{"off", &SupplyWords::off},
                            Word{"get_output", &SupplyWords::get_output},
                            Word{"measure_volts", &SupplyWords::measure_volts},
                            Word{"measure_amps", &SupplyWords::measure_amps},
                            Word{"error", &SupplyWords::error},
                            Word{"line_end", &SupplyWords::line_end}};
constexpr const char* kAnswer = "answer_s";

}  // namespace

void SupplyWords::Validate() const {
  for (const std::string* text : {&set_volts, &set_amps}) {
    if (text->find("{}") == std::string::npos) {
      throw OptionError("'" + *text + "' has no {} where the number belongs");
    }
  }
  for (const auto& [key, text] : kWords) {
    if ((this->*text).empty() && std::string(key) != "start" && std::string(key) != "error") {
      throw OptionError(std::string(key) + " must not be empty");
    }
  }
  if (line_end != "lf" && line_end != "crlf") {
    throw OptionError("line_end = " + line_end + " must be lf or crlf");
  }
  if (!(answer_s >= 0.02 && answer_s <= 0.2)) {
    throw OptionError("answer_s = " + FormatNumber(answer_s) + " must lie in 0.02 .. 0.2 s");
  }
}

SupplyWords ReadSupplyWords(const std::filesystem::path& file) {
  std::vector<std::string> known{kAnswer};
  for (const auto& [key, text] : kWords) known.emplace_back(key);
  const IniFile ini(file, known);
  SupplyWords words;
  for (const auto& [key, text] : kWords) {
    if (const auto entry = ini.Find(key)) words.*text = entry->value;
  }
  if (const auto entry = ini.Find(kAnswer)) {
    const auto value = ParseNumber(entry->value);
    if (!value)
      throw InputError(ini.Where(*entry) + " = " + Quoted(entry->value) + " is no number");
    words.answer_s = *value;
  }
  try {
    words.Validate();
  } catch (const OptionError& error) {
    throw InputError(file.string() + ": " + error.what());
  }
  return words;
}

}  // namespace ohmglow::record
