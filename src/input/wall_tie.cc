// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "wall_tie.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "stamp.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kQuarterS = 900;
constexpr int kMostWest = 12 * 4;
constexpr int kMostEast = 14 * 4;
// Zones that are no whole hours from UTC, in quarter hours, summer times too (IANA time zone
// database, from memory).
constexpr std::array<int, 13> kOddZones = {-38, -14, -10, 14, 18, 22, 23, 26, 35, 38, 42, 51, 55};
constexpr double kLeastMeeting = 0.5;
// Two clocks set by hand, or a log that starts a moment late.
constexpr double kClockErrorS = 5;
// By how much the longer one may outlast the other where the zone is guessed: unrelated clocks meet
// by chance in (this + twice the error) of each hour.
constexpr double kMostSpareS = 40;

struct Span {
  double first_s, last_s;
};

// Share of the shorter one over which both run.
double Meeting(const Span& a, const Span& b) {
  const double both_s = std::min(a.last_s, b.last_s) - std::max(a.first_s, b.first_s);
  const double shorter_s = std::min(a.last_s - a.first_s, b.last_s - b.first_s);
  return shorter_s > 0 ? both_s / shorter_s : -1;
}

// Whether one lies within the other and is about as long.
bool Encloses(const Span& a, const Span& b) {
  const double before_s = b.first_s - a.first_s;
  const double after_s = a.last_s - b.last_s;
  const bool inside =
      std::min(before_s, after_s) >= -kClockErrorS || std::max(before_s, after_s) <= kClockErrorS;
  return inside && std::abs(before_s + after_s) <= kMostSpareS;
}

bool IsZone(int quarters) {
  if (quarters < -kMostWest || quarters > kMostEast) return false;
  return quarters % 4 == 0 ||
         std::find(kOddZones.begin(), kOddZones.end(), quarters) != kOddZones.end();
}

// By how much the log's clock may be ahead of the frames'. Where neither tells its zone, one is
// taken to be in UTC or in a zone whole hours from the other.
bool MayDiffer(int quarters, std::optional<double> log_zone_s, std::optional<double> frame_zone_s) {
  if (log_zone_s) return IsZone(static_cast<int>(std::lround(*log_zone_s / kQuarterS)) - quarters);
  if (frame_zone_s) {
    return IsZone(static_cast<int>(std::lround(*frame_zone_s / kQuarterS)) + quarters);
  }
  return IsZone(quarters) || IsZone(-quarters);
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
                                 const FrameWall& frames_wall,
                                 const std::vector<double>& frame_times_s,
                                 double offset_s) {
  if (!log.wall || log.time_s.empty() || frame_times_s.empty()) return std::nullopt;
  const auto log_zone_s = log.wall->zone_s;
  const bool both_told = log_zone_s && frames_wall.zone_s;
  const double zones_s = both_told ? *log_zone_s - *frames_wall.zone_s : 0;
  double apart_s = log.wall->since_1970_s - frames_wall.since_1970_s - zones_s;
  if (!log.wall->has_date || frames_wall.since_1970_s < kDayS) {
    // The same time of day, on whichever day brings both together.
    const double begins_s = apart_s + log.time_s.front() - frame_times_s.front();
    apart_s -= kDayS * std::round(begins_s / kDayS);
  }
  const Span frames{frame_times_s.front(), frame_times_s.back()};
  const auto rows_at = [&](double shift_s) {
    return Span{log.time_s.front() + shift_s + offset_s, log.time_s.back() + shift_s + offset_s};
  };
  if (Meeting(rows_at(apart_s), frames) >= kLeastMeeting) {
    return WallTie{apart_s, static_cast<int>(std::lround(zones_s / kQuarterS))};
  }
  if (both_told || !frames_wall.zone_open) return std::nullopt;
  std::optional<WallTie> found;
  bool open = false;
  const int most = kMostWest + kMostEast;
  for (int quarters = -most; quarters <= most; ++quarters) {
    if (quarters == 0 || !MayDiffer(quarters, log_zone_s, frames_wall.zone_s)) continue;
    const double shift_s = apart_s - quarters * kQuarterS;
    if (!Encloses(rows_at(shift_s), frames)) continue;
    const int better = found ? Oddness(found->zone_quarters) - Oddness(quarters) : 1;
    if (better < 0) continue;
    open = better == 0;
    found = WallTie{shift_s, quarters};
  }
  return open ? std::nullopt : found;
}

bool BeginTogether(const std::vector<double>& frame_times_s, SupplyLog& log) {
  const Span rows{log.time_s.front(), log.time_s.back()};
  const Span frames{frame_times_s.front(), frame_times_s.back()};
  if (Meeting(rows, frames) >= kLeastMeeting) return false;
  for (double& time_s : log.time_s) time_s += frames.first_s - rows.first_s;
  return true;
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
