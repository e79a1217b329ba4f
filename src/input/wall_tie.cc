// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "wall_tie.h"

#include <algorithm>
#include <cmath>

#include "text.h"

namespace ohmglow {
namespace {

constexpr double kDayS = 86400;
constexpr double kQuarterS = 900;
// Zones lie from 12 h west to 14 h east of UTC.
constexpr int kMostQuarters = 26 * 4;
constexpr double kLeastMeeting = 0.5;

struct Span {
  double first_s, last_s;
};

// Share of the shorter one over which both run.
double Meeting(const Span& a, const Span& b) {
  const double both_s = std::min(a.last_s, b.last_s) - std::max(a.first_s, b.first_s);
  const double shorter_s = std::min(a.last_s - a.first_s, b.last_s - b.first_s);
  return shorter_s > 0 ? both_s / shorter_s : -1;
}

// How likely clocks are so many quarter hours apart: 0 is the likeliest.
int Oddness(int quarters) {
  if (quarters == 0) return 0;
  if (quarters % 4 == 0) return 1;
  return quarters % 2 == 0 ? 2 : 3;
}

// "12.25 s", "1 h", "5 h 45 min"
std::string Hours(int quarters) {
  const int minutes = 15 * std::abs(quarters);
  std::string text = minutes >= 60 ? std::to_string(minutes / 60) + " h" : "";
  if (minutes % 60 == 0) return text;
  return text + (text.empty() ? "" : " ") + std::to_string(minutes % 60) + " min";
}

}  // namespace

std::optional<WallTie> TieByWall(const SupplyLog& log,
                                 double frames_wall_s,
                                 const std::vector<double>& frame_times_s,
                                 double offset_s) {
  if (!log.wall || log.time_s.empty() || frame_times_s.empty()) return std::nullopt;
  double apart_s = log.wall->since_1970_s - frames_wall_s;
  if (!log.wall->has_date || frames_wall_s < kDayS) {
    // The same time of day, on whichever day brings both together without a zone.
    const double begins_s = apart_s + log.time_s.front() - frame_times_s.front();
    apart_s -= kDayS * std::round(begins_s / kDayS);
  }
  const Span frames{frame_times_s.front(), frame_times_s.back()};
  std::optional<WallTie> found;
  bool open = false;
  for (int quarters = -kMostQuarters; quarters <= kMostQuarters; ++quarters) {
    const double shift_s = apart_s - quarters * kQuarterS;
    const double moved_s = shift_s + offset_s;
    const Span rows{log.time_s.front() + moved_s, log.time_s.back() + moved_s};
    if (Meeting(rows, frames) < kLeastMeeting) continue;
    const int better = found ? Oddness(found->zone_quarters) - Oddness(quarters) : 1;
    if (better < 0) continue;
    open = better == 0;
    found = WallTie{shift_s, quarters};
  }
  return open ? std::nullopt : found;
}

std::string DescribeTie(const WallTie& tie,
                        const SupplyLog& log,
                        const std::vector<double>& frame_times_s) {
  std::string text = "laid on the frames by both clocks";
  if (tie.zone_quarters != 0) {
    text += ", the log's taken as " + Hours(tie.zone_quarters) +
            (tie.zone_quarters > 0 ? " ahead" : " behind");
  }
  const double early_s = frame_times_s.front() - (log.time_s.front() + tie.shift_s);
  return text + " (first row " + FormatNumber(std::round(10 * std::abs(early_s)) / 10) + " s " +
         (early_s >= 0 ? "before" : "after") + " the first frame)";
}

}  // namespace ohmglow
