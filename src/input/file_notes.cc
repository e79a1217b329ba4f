// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/file_notes.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/core.hpp>
#include <set>
#include <utility>

#include "frame_times.h"
#include "ohmglow/input/measured_frames.h"
#include "surface_regions.h"

namespace ohmglow {
namespace {

using Clauses = std::vector<Clause>;

Clause Counted(const std::string& key, std::size_t count) {
  return {key, Remark().With("count", static_cast<double>(count))};
}

std::string Size(cv::Size px) {
  return std::to_string(px.width) + " x " + std::to_string(px.height) + " px";
}

double LengthOf(const std::vector<double>& times_s) {
  return times_s.empty() ? 0 : times_s.back() - times_s.front();
}

// "0 to 2.01 A"; nothing where no value is known.
void AddRange(const std::string& key, const std::vector<double>& values, Clauses& said) {
  double low = INFINITY;
  double high = -INFINITY;
  for (const double value : values) {
    if (!std::isfinite(value)) continue;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  if (low <= high) said.push_back({key, Remark().With("low", low).With("high", high)});
}

// Where the frames' times are from.
Clause TimesFound(const std::string& from) {
  if (from == kTimesFromNames) return {"file.times.names"};
  if (from == kTimesFromTiff) return {"file.times.tiff"};
  if (from == kTimesFromDates) return {"file.times.dates"};
  if (from.starts_with(kTimesFromHeadings)) {
    return {"file.times.headings", Remark().With("at", from.substr(kTimesFromHeadings.size()))};
  }
  return {"file.times.otherwise", Remark().With("how", from)};
}

Clauses Frames(const Case& job, std::size_t num_files) {
  Clause frames = Counted("file.frames", static_cast<std::size_t>(job.frames->count()));
  frames.values = std::move(frames.values).With("size", Size(job.frames->size_px()));
  Clauses said{std::move(frames)};
  if (num_files > 1) said.push_back(Counted("file.in_files", num_files));
  for (const Assumption& one : job.assumed) {
    const bool found =
        one.key == "frames.times" && one.how != AssumedHow::kInFolder && !one.note.empty();
    if (found) said.push_back(TimesFound(one.value));
  }
  return said;
}

std::string KeyOf(LogTime time) {
  switch (time) {
    case LogTime::kSince:
      return "since";
    case LogTime::kEpoch:
      return "epoch";
    case LogTime::kDateTime:
      return "date";
    case LogTime::kClock:
      return "clock";
    case LogTime::kDays:
      return "days";
    case LogTime::kRows:
      break;
  }
  return "rows";
}

// How the log was read: its form, then a row a column that is used.
void AddReading(const LogReading& reading, const std::string& name, std::vector<FileNote>& notes) {
  Clauses form{{"file.parted." + reading.delimiter},
               {reading.decimal == ',' ? "file.decimal_comma" : "file.decimal_point"},
               {"file.encoding", Remark().With("name", reading.encoding)}};
  if (reading.lines_above > 0) {
    form.push_back(Counted("file.lines_above", static_cast<std::size_t>(reading.lines_above)));
  }
  const bool timed = std::any_of(reading.columns.begin(), reading.columns.end(), [](const auto& c) {
    return c.quantity == "time";
  });
  if (!timed) form.push_back({"file.time." + KeyOf(reading.time)});
  notes.push_back({"log", name, std::move(form)});
  for (const LogColumn& column : reading.columns) {
    Clauses understood{{"file.quantity." + column.quantity}};
    if (!column.unit.empty()) {
      understood.push_back({"file.unit", Remark().With("unit", column.unit)});
    }
    if (column.quantity == "time") understood.push_back({"file.counted." + KeyOf(reading.time)});
    notes.push_back({"column", column.header, std::move(understood)});
  }
}

Clauses Supply(const Case& job) {
  if (!job.supply) return {};
  const SupplyLog& log = *job.supply;
  Clause rows = Counted("file.rows", log.time_s.size());
  rows.values = std::move(rows.values).With("seconds", LengthOf(log.time_s));
  Clauses said{std::move(rows)};
  AddRange("file.amps", log.amps_a, said);
  const std::size_t before = said.size();
  AddRange("file.volts", log.volts_v, said);
  if (said.size() == before) said.push_back({"file.no_volts"});
  return said;
}

Clauses Points(const Case& job) {
  const auto on_board = std::count_if(job.landmarks.begin(),
                                      job.landmarks.end(),
                                      [](const auto& p) { return p.board_mm.has_value(); });
  Clause said = Counted("file.landmarks", job.landmarks.size());
  said.values = std::move(said.values).With("placed", static_cast<double>(on_board));
  return {std::move(said)};
}

Clauses Parts(const Case& job) {
  const auto top = std::count_if(job.parts.begin(), job.parts.end(), [](const Part& part) {
    return part.side == BoardSide::kTop;
  });
  Clause said = Counted("file.parts", job.parts.size());
  said.values = std::move(said.values).With("top", static_cast<double>(top));
  return {std::move(said)};
}

// A row a column of a placement list that is used, by what was assumed of it.
void AddPartColumns(const Case& job, std::vector<FileNote>& notes) {
  static const std::set<std::string> kMeanings{
      "ref", "x", "y", "side", "turn", "package", "length", "width", "height"};
  for (const Assumption& one : job.assumed) {
    if (one.key != "board.parts_columns") continue;
    const std::string& line = one.value;
    for (std::size_t at = 0; at < line.size();) {
      const std::size_t end = std::min(line.find(", ", at), line.size());
      const std::size_t equals = std::min(line.find('=', at), end);
      const std::string meaning = line.substr(at, equals - at);
      if (kMeanings.contains(meaning) && equals < end) {
        notes.push_back(
            {"column", line.substr(equals + 1, end - equals - 1), {{"file.part." + meaning}}});
      }
      at = end + 2;
    }
  }
}

Clauses AsItIs(const std::string& text) { return {{"file.as_it_is", Remark().With("text", text)}}; }

Clauses Understood(const Case& job, const NamedFiles& named) {
  if (named.key == "frames.source") return Frames(job, named.files.size());
  if (named.key == "frames.times") {
    return {{"file.span", Remark().With("seconds", LengthOf(job.frame_times_s))}};
  }
  if (named.key == "supply.log") return Supply(job);
  const auto is_none = [&](const Assumption& one) {
    return one.key == named.key && IsNotUsed(one.how);
  };
  if (std::any_of(job.assumed.begin(), job.assumed.end(), is_none)) return {{"file.not_used"}};
  if (named.key == "board.photo") return AsItIs(Size(job.photo.size()));
  if (named.key == "board.points") return Points(job);
  if (named.key == "board.parts") return Parts(job);
  if (named.key == "surface.regions") {
    return ListSurfaces(SurfaceRegionsOf(job.frames.get()));
  }
  if (named.key == "board.contacts") return {Counted("file.contacts", job.contacts.size())};
  return {};
}

}  // namespace

std::vector<FileNote> DescribeFiles(const Case& job, const std::vector<NamedFiles>& files) {
  static const std::map<std::string, std::string> kRoles{{"frames.source", "frames"},
                                                         {"supply.log", "supply"}};
  std::vector<FileNote> notes;
  for (const NamedFiles& named : files) {
    Clauses understood = Understood(job, named);
    if (understood.empty()) continue;
    const auto known = kRoles.find(named.key);
    const std::string role =
        known != kRoles.end() ? known->second : named.key.substr(named.key.find('.') + 1);
    notes.push_back({role, named.name, std::move(understood)});
    if (named.key == "board.parts") AddPartColumns(job, notes);
    if (named.key != "supply.log" || !job.log_reading) continue;
    AddReading(*job.log_reading, named.name, notes);
  }
  return notes;
}

}  // namespace ohmglow
