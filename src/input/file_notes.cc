// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/file_notes.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <opencv2/core.hpp>

#include "ohmglow/input/measured_frames.h"
#include "surface_regions.h"

namespace ohmglow {
namespace {

template <typename... Values>
std::string Format(const char* text, Values... values) {
  char buffer[200];
  std::snprintf(buffer, sizeof buffer, text, values...);
  return buffer;
}

std::string Count(std::size_t number, const char* noun) {
  return std::to_string(number) + " " + noun + (number == 1 ? "" : "s");
}

std::string Size(cv::Size px) { return Format("%d x %d px", px.width, px.height); }

double LengthOf(const std::vector<double>& times_s) {
  return times_s.empty() ? 0 : times_s.back() - times_s.front();
}

// "0 to 2.01 A"; nothing where no value is known.
std::string Range(const std::vector<double>& values, const char* unit) {
  double low = INFINITY;
  double high = -INFINITY;
  for (const double value : values) {
    if (!std::isfinite(value)) continue;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  return low > high ? std::string() : Format("%.3g to %.3g %s", low, high, unit);
}

std::string Frames(const Case& job, std::size_t num_files) {
  std::string text = Count(static_cast<std::size_t>(job.frames->count()), "frame") + " of " +
                     Size(job.frames->size_px());
  if (num_files > 1) text += " in " + Count(num_files, "file");
  for (const Assumption& one : job.assumed) {
    const bool found =
        one.key == "frames.times" && one.how != AssumedHow::kInFolder && !one.note.empty();
    if (found) text += ", times " + one.value;
  }
  return text;
}

std::string Words(LogTime time) {
  switch (time) {
    case LogTime::kSince:
      return "from some start";
    case LogTime::kEpoch:
      return "since 1970, UTC";
    case LogTime::kDateTime:
      return "date and time of day";
    case LogTime::kClock:
      return "time of day";
    case LogTime::kDays:
      return "days of a spreadsheet";
    case LogTime::kRows:
      break;
  }
  return "rows of equal distance";
}

// How the log was read: its form, then a row a column that is used.
void AddReading(const LogReading& reading, const std::string& name, std::vector<FileNote>& notes) {
  std::string form = "parted by " + reading.delimiter + ", decimal " +
                     (reading.decimal == ',' ? "comma" : "point") + ", " + reading.encoding;
  if (reading.lines_above > 0) {
    form +=
        "; " + Count(static_cast<std::size_t>(reading.lines_above), "line") + " above its table";
  }
  const bool timed = std::any_of(reading.columns.begin(), reading.columns.end(), [](const auto& c) {
    return c.quantity == "time";
  });
  if (!timed) form += "; time: " + Words(reading.time);
  notes.push_back({"log", name, form});
  for (const LogColumn& column : reading.columns) {
    std::string understood =
        column.quantity + (column.unit.empty() ? "" : " in " + column.unit) +
        (column.quantity == "time" ? ", " + Words(reading.time) : std::string());
    notes.push_back({"column", column.header, std::move(understood)});
  }
}

std::string Supply(const Case& job) {
  if (!job.supply) return {};
  const SupplyLog& log = *job.supply;
  std::string text = Count(log.time_s.size(), "row") + Format(" in %.1f s; ", LengthOf(log.time_s));
  text += Range(log.amps_a, "A");
  const std::string volts = Range(log.volts_v, "V");
  return text + (volts.empty() ? ", no volts" : ", " + volts);
}

std::string Points(const Case& job) {
  const auto on_board = std::count_if(job.landmarks.begin(),
                                      job.landmarks.end(),
                                      [](const auto& p) { return p.board_mm.has_value(); });
  return Count(job.landmarks.size(), "landmark") + ", " + std::to_string(on_board) +
         " of them with a place on the board";
}

std::string Parts(const Case& job) {
  const auto top = std::count_if(job.parts.begin(), job.parts.end(), [](const Part& part) {
    return part.side == BoardSide::kTop;
  });
  return Count(job.parts.size(), "part") + ", " + std::to_string(top) + " of them on top";
}

// A row a column of a placement list that is used, by what was assumed of it.
void AddPartColumns(const Case& job, std::vector<FileNote>& notes) {
  static const std::map<std::string, std::string> kMeanings{{"ref", "name of the part"},
                                                            {"x", "its place, x"},
                                                            {"y", "its place, y"},
                                                            {"side", "side of the board"},
                                                            {"turn", "turn in degrees"},
                                                            {"package", "package, for its size"},
                                                            {"length", "length of the body"},
                                                            {"width", "width of the body"},
                                                            {"height", "height of the body"}};
  for (const Assumption& one : job.assumed) {
    if (one.key != "board.parts_columns") continue;
    const std::string& line = one.value;
    for (std::size_t at = 0; at < line.size();) {
      const std::size_t end = std::min(line.find(", ", at), line.size());
      const std::size_t equals = std::min(line.find('=', at), end);
      const auto known = kMeanings.find(line.substr(at, equals - at));
      if (known != kMeanings.end() && equals < end) {
        notes.push_back({"column", line.substr(equals + 1, end - equals - 1), known->second});
      }
      at = end + 2;
    }
  }
}

std::string Understood(const Case& job, const NamedFiles& named) {
  if (named.key == "frames.source") return Frames(job, named.files.size());
  if (named.key == "frames.times") return Format("times of %.1f s", LengthOf(job.frame_times_s));
  if (named.key == "supply.log") return Supply(job);
  const auto is_none = [&](const Assumption& one) {
    return one.key == named.key && IsNotUsed(one.how);
  };
  if (std::any_of(job.assumed.begin(), job.assumed.end(), is_none)) return "not used: see below";
  if (named.key == "board.photo") return Size(job.photo.size());
  if (named.key == "board.points") return Points(job);
  if (named.key == "board.parts") return Parts(job);
  if (named.key == "surface.regions") return DescribeSurfaces(SurfaceRegionsOf(job.frames.get()));
  if (named.key == "board.contacts") return Count(job.contacts.size(), "lead contact");
  return {};
}

}  // namespace

std::vector<FileNote> DescribeFiles(const Case& job, const std::vector<NamedFiles>& files) {
  static const std::map<std::string, std::string> kRoles{{"frames.source", "frames"},
                                                         {"supply.log", "supply"}};
  std::vector<FileNote> notes;
  for (const NamedFiles& named : files) {
    const std::string understood = Understood(job, named);
    if (understood.empty()) continue;
    const auto known = kRoles.find(named.key);
    const std::string role =
        known != kRoles.end() ? known->second : named.key.substr(named.key.find('.') + 1);
    notes.push_back({role, named.name, understood});
    if (named.key == "board.parts") AddPartColumns(job, notes);
    if (named.key != "supply.log" || !job.log_reading) continue;
    AddReading(*job.log_reading, named.name, notes);
  }
  return notes;
}

}  // namespace ohmglow
