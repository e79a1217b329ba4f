// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/levels.h"

#include <cmath>

#include "desk/tables.h"
#include "input/supply_levels.h"
#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

// Finer than a supply is set and than a hand points.
constexpr int kAmpsDigits = 3;
constexpr int kTimeDigits = 2;

std::string Rounded(double value, int digits) {
  const double per_unit = std::pow(10.0, digits);
  return FormatNumber(std::round(value * per_unit) / per_unit);
}

bool HasTime(const Json& row) { return row.contains("time_s") && !row["time_s"].is_null(); }

}  // namespace

Json ToLevels(const Capture& capture) {
  Json rows = Json::array();
  for (std::size_t i = 0; i < capture.job.levels.size(); ++i) {
    const SetLevel& level = capture.job.levels[i];
    Json row{{"row", i}, {"amps", level.amps_a}};
    if (level.start_s) row["time_s"] = *level.start_s;
    rows.push_back(std::move(row));
  }
  return {{"version", capture.levels_version},
          {"table", TableOf(capture, "supply.steps", "").named},
          {"rows", std::move(rows)}};
}

std::string LevelsText(const Json& rows) {
  std::string text;
  for (const Json& row : rows) {
    if (!text.empty()) text += ' ';
    const bool timed = !text.empty() && HasTime(row);
    text += Rounded(row.at("amps").get<double>(), kAmpsDigits);
    if (timed) text += '@' + Rounded(row["time_s"].get<double>(), kTimeDigits);
  }
  static_cast<void>(ParseLevels(text, SetLevel().within_s, "the currents"));
  return text;
}

std::string WithSteps(const std::string& text, const Json& rows) {
  static_cast<void>(LevelsText(rows));
  return WithRows(TableText(text, {"time_s", "amps"}),
                  rows,
                  [first = true](TableText& table, std::size_t number, const Json& row) mutable {
                    table.SetNumber(number, "amps", row.at("amps").get<double>(), kAmpsDigits);
                    if (HasTime(row) && !first) {
                      table.SetNumber(number, "time_s", row["time_s"].get<double>(), kTimeDigits);
                    }
                    first = false;
                  });
}

}  // namespace ohmglow::desk
