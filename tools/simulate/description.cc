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

#include "ohmglow/base/error.h"
#include "random.h"

namespace ohmglow::simulate {
namespace {

struct NumberKey {
  const char* name;
  const char* preset;
  double low, high;  // What is allowed.
  double Scenario::*field;
  const char* meaning;
};

struct WordKey {
  const char* name;
  const char* preset;
  const char* allowed;  // Empty: any text.
  std::string Scenario::*field;
  const char* meaning;
};

using S = Scenario;

constexpr WordKey kWords[] = {
    {"case.title", "A simulated board", "", &S::title, "title of the case (no alternatives)"},
    {"case.kind", "typical", "", &S::kind, "kind of case, for the scorer's groups"},
    {"board.side", "top", "top|bottom", &S::board_side, "side that faces the camera"},
    {"board.color", "green|blue", "green|blue", &S::board_color, "solder mask in the photo"},
    {"fault.part", "chip", "chip|circuit|transistor", &S::fault_part, "kind of the faulty part"},
    {"fault.side", "near", "near|far", &S::fault_side, "side of the fault, from the camera"},
    {"motion.kind", "arm", "tripod|arm|hand|bump", &S::motion, "what holds the camera"},
};

constexpr NumberKey kNumbers[] = {
    {"board.seed",
     "0",
     0,
     1e9,
     &S::board_seed,
     "another number, another board; 0: the case's seed"},
    {"board.width_mm", "60", 20, 120, &S::board_width_mm, "size along x"},
    {"board.height_mm", "50", 20, 120, &S::board_height_mm, "size along y"},
    {"board.thickness_mm", "1.2", 0.4, 3.2, &S::board_thickness_mm, "laminate"},
    {"board.layers", "2", 2, 4, &S::board_layers, "thermal layers through the laminate"},
    {"board.copper_um", "35", 5, 105, &S::copper_um, "thickness of each of four copper layers"},
    {"board.plane_cover", "0.75", 0, 1, &S::plane_cover, "share of the inner layers that is plane"},
    {"board.film_top_w_m2k", "9", 0, 50, &S::film_top_w_m2k, "convection and radiation, top"},
    {"board.film_bottom_w_m2k", "8", 0, 50, &S::film_bottom_w_m2k, "the same, bottom"},
    {"parts.chips", "24", 2, 200, &S::chips, "chip capacitors"},
    {"parts.resistors", "8", 0, 200, &S::resistors, "chip resistors"},
    {"parts.circuits", "4", 0, 20, &S::circuits, "moulded circuits"},
    {"parts.transistors", "2", 0, 20, &S::transistors, "moulded power transistors"},
    {"parts.inductors", "1", 0, 5, &S::inductors, "inductors"},
    {"parts.connectors", "1", 0, 4, &S::connectors, "connectors"},
    {"parts.cans", "0..1", 0, 3, &S::cans, "metal cans"},
    {"parts.bottom_share", "0.25", 0, 0.8, &S::bottom_share, "share of the parts on the bottom"},
    {"supply.baseline_s", "4..6", 0.5, 100, &S::baseline_s, "time at 0 A before the first step"},
    {"supply.levels", "3", 1, 5, &S::levels, "levels of current"},
    {"supply.top_amps", "1..3", 0.01, 20, &S::top_amps, "current of the last level, A"},
    {"supply.step_s", "5..7", 0.5, 100, &S::step_s, "length of a level; the last takes the rest"},
    {"supply.end_zero", "0", 0, 1, &S::end_zero, "1: ends with 0 A for one such length"},
    {"supply.log_hz", "4", 0.5, 20, &S::log_hz, "rows a second of the log"},
    {"supply.clock_offset_s",
     "-3..3",
     -100,
     100,
     &S::clock_offset_s,
     "log time + this = frame time"},
    {"supply.lead_ohm", "0.05..0.15", 0, 10, &S::lead_ohm, "both leads"},
    {"fault.count", "1", 0, 2, &S::fault_count, "faults"},
    {"fault.power_w",
     "0.05~0.3",
     0,
     20,
     &S::fault_power_w,
     "heat of the first at the top current, W"},
    {"fault.second_ratio", "0.3..1", 0, 10, &S::second_ratio, "heat of the second to the first"},
    {"fault.exponent",
     "2",
     0.5,
     3,
     &S::fault_exponent,
     "heat ~ current^this: 2 ohmic, 1 a junction"},
    {"fault.neighbor_mm", "0", 0, 10, &S::fault_neighbor_mm, "like chip at this distance; 0: none"},
    {"other.contacts", "2", 0, 2, &S::contacts, "lead contacts on the board"},
    {"other.contact_w", "0.005~0.05", 0, 5, &S::contact_w, "heat of one at the top current, W"},
    {"other.wires", "0", 0, 1, &S::wires, "1: the leads cross the picture"},
    {"other.wire_k", "0.2..1", 0, 20, &S::wire_k, "rise of the leads, long at the top current, K"},
    {"other.track_w",
     "0.5? 0.002~0.02",
     0,
     5,
     &S::track_w,
     "heat of a track at the top current, W"},
    {"other.inductor_w", "0.3? 0.002~0.01", 0, 5, &S::inductor_w, "the same of an inductor, W"},
    {"other.standby_w", "0", 0, 5, &S::standby_w, "heat of a part that draws by itself, W"},
    {"other.standby_onset_s",
     "-30..12",
     -60,
     600,
     &S::standby_onset_s,
     "since when (frame 0 is 0)"},
    {"other.warm_w", "0", 0, 5, &S::warm_w, "heat of a part that was on before, W"},
    {"other.warm_off_s", "-10..-2", -60, 0, &S::warm_off_s, "when it went off, after 30 s"},
    {"other.hand_k", "0", 0, 20, &S::hand_k, "broad warmth of a passing hand, about this many K"},
    {"other.hand_begin_s", "-8..12", -60, 600, &S::hand_begin_s, "when it comes"},
    {"other.hand_hold_s", "3..7", 0, 60, &S::hand_hold_s, "how long it stays"},
    {"other.hand_sigma_mm", "10..13", 2, 60, &S::hand_sigma_mm, "size of the warmth"},
    {"other.reflection_k", "0", -20, 20, &S::reflection_k, "wandering reflection, K in a mirror"},
    {"other.reflection_width", "0.15..0.25", 0.02, 1, &S::reflection_width, "share of the frame"},
    {"camera.width_px", "160", 16, 1280, &S::width_px, "frame width"},
    {"camera.height_px", "120", 16, 1024, &S::height_px, "frame height"},
    {"camera.mm_per_pixel", "0.35..0.5", 0.05, 2, &S::mm_per_pixel, "in the middle of the frame"},
    {"camera.off_center_px",
     "35",
     0,
     500,
     &S::off_center_px,
     "fault at most so far off the middle"},
    {"camera.rotation_deg", "-2..2", -180, 180, &S::rotation_deg, "of the board in the frame"},
    {"camera.tilt_deg", "0..8", 0, 10, &S::tilt_deg, "of the optical axis, in any direction"},
    {"camera.fov_deg", "25..45", 5, 90, &S::fov_deg, "across the frame: the perspective"},
    {"camera.blur_px", "0.6..0.9", 0.2, 4, &S::blur_px, "sigma of the optics' blur"},
    {"camera.rate_hz", "8", 0.5, 60, &S::rate_hz, "frames a second"},
    {"camera.seconds", "30", 2, 600, &S::seconds, "length of the capture"},
    {"camera.jitter", "0", 0, 0.3, &S::jitter, "frame times, sd in frame intervals"},
    {"camera.time_table", "1", 0, 1, &S::time_table, "1: write frames.csv; 0: the rate alone"},
    {"camera.time_origin_s", "0..100", 0, 1e5, &S::time_origin_s, "time of frame 0 in that table"},
    {"camera.scale_k", "0.01", 0.001, 0.2, &S::scale_k, "kelvin a count"},
    {"camera.zero_k", "273.15", 0, 290, &S::zero_k, "kelvin at count 0"},
    {"camera.ambient_c", "21..26", 0, 60, &S::ambient_c, "air"},
    {"camera.reflected_k",
     "-1..1",
     -20,
     20,
     &S::reflected_k,
     "reflected temperature less the air's"},
    {"camera.base_k", "0.3..1.4", 0, 20, &S::base_k, "board above the air, before all"},
    {"camera.ambient_drift_k", "-0.3..0.3", -5, 5, &S::ambient_drift_k, "change over the capture"},
    {"camera.netd_k", "0.04..0.07", 0, 1, &S::netd_k, "white noise of one pixel, sd"},
    {"camera.column_k", "0.01..0.02", 0, 1, &S::column_k, "noise of a column in one frame, sd"},
    {"camera.fixed_k", "0.05..0.15", 0, 2, &S::fixed_k, "fixed pattern, pixels and columns, sd"},
    {"camera.slow_k", "0.005..0.015", 0, 1, &S::slow_k, "slow (1/f-like) noise of a pixel, sd"},
    {"camera.drift_k", "0.3..1.2", 0, 5, &S::drift_k, "wandering of the common offset"},
    {"camera.bad_pixels", "5..20", 0, 500, &S::bad_pixels, "dead, stuck and blinking pixels"},
    {"camera.shutter_events",
     "1..2",
     0,
     10,
     &S::shutter_events,
     "freezes with a new offset pattern"},
    {"motion.size_px", "0.6..1.5", 0, 20, &S::motion_px, "how far it sways, drifts or jumps"},
};

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

}  // namespace

Description DefaultDescription() {
  Description all;
  for (const auto& key : kWords) all[key.name] = key.preset;
  for (const auto& key : kNumbers) all[key.name] = key.preset;
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
  for (const auto& key : kWords) {
    Random random(seed, key.name);
    s.*key.field = DrawWord(key, description.at(key.name), random);
  }
  for (const auto& key : kNumbers) {
    Random random(seed, key.name);
    s.*key.field = DrawNumber(key, description.at(key.name), random);
  }
  RoundCounts(s);
  if (s.time_table == 0) s.time_origin_s = 0;
  if (s.baseline_s + (s.levels - 1 + s.end_zero) * s.step_s > 0.95 * s.seconds) {
    throw InputError(
        "camera.seconds: too short for baseline_s and levels of step_s; make it longer");
  }
  s.name = s.kind + "-" + std::to_string(seed);
  return s;
}

std::string DescribeKeys() {
  std::ostringstream out;
  const auto line = [&out](const char* name, const char* preset, const char* meaning) {
    std::string left = std::string("  ") + name + " = " + preset;
    left.resize(std::max<std::size_t>(left.size() + 1, 44), ' ');
    out << left << meaning << '\n';
  };
  for (const auto& key : kWords) line(key.name, key.preset, key.meaning);
  for (const auto& key : kNumbers) line(key.name, key.preset, key.meaning);
  return out.str();
}

}  // namespace ohmglow::simulate
