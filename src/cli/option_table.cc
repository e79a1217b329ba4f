// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/option_table.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <sstream>

#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

constexpr std::array kNumberOptions{
    NumberOption{"false-alarm-prob",
                 [](Settings& s) -> double& { return s.locate.rank.false_alarm_prob; },
                 1e-6,
                 0.4,
                 "chance that noise alone brings up a place, per capture"},
    NumberOption{"max-candidates",
                 [](Settings& s) -> int& { return s.locate.rank.max_candidates; },
                 1,
                 50,
                 "places kept in the list"},
    NumberOption{"max-shift-px",
                 [](Settings& s) -> double& { return s.locate.align.max_shift_px; },
                 0.5,
                 200,
                 "largest motion of the camera that is searched, pixels"},
    NumberOption{"dead-pixel-sigmas",
                 [](Settings& s) -> double& { return s.locate.align.dead_pixel_sigmas; },
                 3,
                 100,
                 "distance from its neighbours at which a pixel counts as dead"},
    NumberOption{"clock-range-s",
                 [](Settings& s) -> double& { return s.locate.heat.clock_range_s; },
                 0,
                 600,
                 "largest offset between the clocks of log and camera, seconds either way"},
    NumberOption{"threads",
                 [](Settings& s) -> int& { return s.threads; },
                 0,
                 256,
                 "threads to compute with; 0: one a core"},
};

std::string Text(double value) {
  std::ostringstream text;
  text << value;
  return text.str();
}

template <typename Number>
bool Parse(const std::string& text, Number& value) {
  const auto end = text.data() + text.size();
  const auto [rest, code] = std::from_chars(text.data(), end, value);
  return code == std::errc() && rest == end;
}

// Optimal string alignment distance (edits and swaps of neighbours).
std::size_t Distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        d[i][j] = i + j;
        continue;
      }
      d[i][j] = std::min(
          {d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

}  // namespace

std::span<const NumberOption> NumberOptions() { return kNumberOptions; }

std::string RangeText(const NumberOption& option) {
  return Text(option.low) + " to " + Text(option.high);
}

std::string DefaultText(const NumberOption& option) {
  Settings defaults;
  return std::visit([&](auto field) { return Text(field(defaults)); }, option.field);
}

void SetNumber(const NumberOption& option, const std::string& text, Settings& settings) {
  std::visit(
      [&](auto field) {
        auto& target = field(settings);
        auto value = target;
        const bool whole = std::is_same_v<decltype(value), int>;
        // The order of the comparison refuses "nan", which from_chars reads.
        if (!Parse(text, value) || !(value >= option.low && value <= option.high)) {
          throw OptionError("--" + std::string(option.name) + ": '" + text + "' is no " +
                            (whole ? "whole number" : "number") + " from " + RangeText(option) +
                            "; give one (default " + DefaultText(option) + ")");
        }
        target = value;
      },
      option.field);
}

std::string Closest(std::string_view name, const std::vector<std::string>& known) {
  const auto begun = std::find_if(
      known.begin(), known.end(), [&](const std::string& one) { return one.starts_with(name); });
  if (!name.empty() && begun != known.end()) return *begun;
  return *std::min_element(known.begin(), known.end(), [&](const auto& a, const auto& b) {
    return Distance(name, a) < Distance(name, b);
  });
}

std::string Near(std::string_view name, const std::vector<std::string>& known) {
  std::string closest = Closest(name, known);
  return 3 * Distance(name, closest) <= std::max(name.size(), closest.size()) ? closest
                                                                              : std::string();
}

}  // namespace ohmglow::cli
