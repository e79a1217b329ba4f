// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "description.h"

#include <algorithm>
#include <boost/program_options.hpp>
#include <charconv>
#include <cmath>
#include <fstream>
#include <sstream>
#include <vector>

#include "keys.h"
#include "ohmglow/base/error.h"
#include "random.h"

namespace ohmglow::simulate {
namespace {

using S = Scenario;

std::string Trim(const std::string& text) {
  const auto first = text.find_first_not_of(" \t\r");
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

[[noreturn]] void Fail(const char* key, const std::string& text, const std::string& rule) {
  throw InputError(std::string(key) + " = " + text + ": " + rule);
}

double Parse(const char* key, const std::string& text, const std::string& whole) {
  const std::string word = Trim(text);
  double value = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (error != std::errc() || end != word.data() + word.size() || !std::isfinite(value)) {
    Fail(key, whole, "write a number, low..high or low~high, e.g. 0.02..0.2");
  }
  return value;
}

double DrawNumber(const NumberKey& key, const std::string& text, Random& random) {
  std::string rest = Trim(text);
  const auto mark = rest.find('?');
  bool present = true;
  if (mark != std::string::npos) {
    present = random.Chance(Parse(key.name, rest.substr(0, mark), text));
    rest = rest.substr(mark + 1);
  }
  const auto dots = rest.find("..");
  const auto tilde = rest.find('~');
  const auto cut = dots != std::string::npos ? dots : tilde;
  const double low = Parse(key.name, rest.substr(0, cut), text);
  const double high =
      cut == std::string::npos
          ? low
          : Parse(key.name, rest.substr(cut + (dots != std::string::npos ? 2 : 1)), text);
  if (low < key.low || high > key.high || low > high || (tilde != std::string::npos && low <= 0)) {
    std::ostringstream rule;
    rule << "must lie in " << key.low << " .. " << key.high << ", low end first, above 0 for ~";
    Fail(key.name, text, rule.str());
  }
  if (!present) return 0;
  if (low == high) return low;
  const double u = random.Uniform();
  return tilde != std::string::npos ? low * std::pow(high / low, u) : low + (high - low) * u;
}

std::vector<std::string> Split(const std::string& text) {
  std::vector<std::string> words;
  std::istringstream in(text);
  for (std::string word; std::getline(in, word, '|');) words.push_back(Trim(word));
  return words;
}

std::string DrawWord(const WordKey& key, const std::string& text, Random& random) {
  if (std::string(key.allowed).empty()) return text;
  const auto words = Split(text);
  const auto allowed = Split(key.allowed);
  for (const auto& word : words) {
    if (std::find(allowed.begin(), allowed.end(), word) == allowed.end()) {
      Fail(key.name, text, std::string("choose from ") + key.allowed);
    }
  }
  if (words.empty()) Fail(key.name, text, std::string("choose from ") + key.allowed);
  return words[static_cast<std::size_t>(random.Integer(0, static_cast<int>(words.size()) - 1))];
}

// Counts and switches are whole numbers; a range 1..3 gives each alike.
void RoundCounts(Scenario& s) {
  for (double S::*field : {&S::board_seed,
                           &S::board_layers,
                           &S::chips,
                           &S::resistors,
                           &S::circuits,
                           &S::transistors,
                           &S::inductors,
                           &S::connectors,
                           &S::cans,
                           &S::levels,
                           &S::end_zero,
                           &S::log_volts,
                           &S::fault_count,
                           &S::contacts,
                           &S::wires,
                           &S::width_px,
                           &S::height_px,
                           &S::time_table,
                           &S::bad_pixels,
                           &S::shutter_events}) {
    s.*field = std::round(s.*field);
  }
  s.board_width_mm = std::round(s.board_width_mm);
  s.board_height_mm = std::round(s.board_height_mm);
}

const NumberKey& CaptureKey() {
  return *std::find_if(NumberKeys().begin(), NumberKeys().end(), [](const NumberKey& key) {
    return key.field == &Scenario::capture;
  });
}

double FirstTopAmps(const Description& description, std::uint64_t seed) {
  const auto key = std::find_if(NumberKeys().begin(), NumberKeys().end(), [](const NumberKey& k) {
    return k.field == &Scenario::top_amps;
  });
  Random random(seed, key->name);
  return DrawNumber(*key, description.at(key->name), random);
}

// Board, parts, faults and what warms within the board stay from capture to
// capture; the rest is drawn anew.
std::uint64_t SeedOf(const std::string& key, const Scenario& s) {
  if (key == "other.track_w" || key == "other.inductor_w") return s.seed;
  const bool anew = key.starts_with("camera.") || key.starts_with("motion.") ||
                    key.starts_with("supply.") || key.starts_with("other.");
  return anew ? s.capture_seed() : s.seed;
}

}  // namespace

Description DefaultDescription() {
  Description all;
  for (const auto& key : WordKeys()) all[key.name] = key.preset;
  for (const auto& key : NumberKeys()) all[key.name] = key.preset;
  return all;
}

Description ReadDescription(const std::filesystem::path& file) {
  std::ifstream in(file);
  if (!in) throw InputError(file.string() + ": cannot be opened; give the path of a description");
  // The parser of Boost knows only # as the start of a comment.
  std::stringstream text;
  for (std::string line; std::getline(in, line);) text << line.substr(0, line.find(';')) << '\n';
  Description all = DefaultDescription();
  try {
    const boost::program_options::options_description none;
    const auto parsed = boost::program_options::parse_config_file<char>(text, none, true);
    for (const auto& option : parsed.options) {
      if (!all.contains(option.string_key)) {
        throw InputError(file.string() + ": unknown key " + option.string_key +
                         "; see `simulate --help` for the list");
      }
      all[option.string_key] = option.value.empty() ? "" : Trim(option.value.front());
    }
  } catch (const boost::program_options::error& e) {
    throw InputError(file.string() + ": " + e.what());
  }
  return all;
}

Scenario Draw(const Description& description, std::uint64_t seed) {
  Scenario s{};
  s.seed = seed;
  Random unused(seed, "case.capture");
  s.capture = std::round(DrawNumber(CaptureKey(), description.at("case.capture"), unused));
  for (const auto& key : WordKeys()) {
    Random random(SeedOf(key.name, s), key.name);
    s.*key.field = DrawWord(key, description.at(key.name), random);
  }
  for (const auto& key : NumberKeys()) {
    if (key.field == &Scenario::capture) continue;
    Random random(SeedOf(key.name, s), key.name);
    s.*key.field = DrawNumber(key, description.at(key.name), random);
  }
  RoundCounts(s);
  // The same heat at another current.
  if (s.capture > 0) {
    const double ratio = s.top_amps / FirstTopAmps(description, seed);
    s.fault_power_w *= std::pow(ratio, s.fault_exponent);
    s.track_w *= ratio * ratio;
    s.inductor_w *= ratio * ratio;
  }
  if (s.time_table == 0) s.time_origin_s = 0;
  if (s.baseline_s + (s.levels - 1 + s.end_zero) * s.step_s > 0.95 * s.seconds) {
    throw InputError(
        "camera.seconds: too short for baseline_s and levels of step_s; make it longer");
  }
  s.name = s.kind + "-" + std::to_string(seed);
  if (s.capture > 0) (s.name += '-') += std::to_string(static_cast<int>(s.capture));
  return s;
}

std::string DescribeKeys() {
  std::ostringstream out;
  const auto line = [&out](const char* name, const char* preset, const char* meaning) {
    std::string left = std::string("  ") + name + " = " + preset;
    left.resize(std::max<std::size_t>(left.size() + 1, 44), ' ');
    out << left << meaning << '\n';
  };
  for (const auto& key : WordKeys()) line(key.name, key.preset, key.meaning);
  for (const auto& key : NumberKeys()) line(key.name, key.preset, key.meaning);
  return out.str();
}

}  // namespace ohmglow::simulate
