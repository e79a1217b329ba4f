// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "frame_times.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "name_times.h"
#include "ohmglow/base/error.h"
#include "tables.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kDefaultRateHz = 8;
// Between files written as they were filmed; copies follow each other faster.
constexpr double kShortestDateStep_s = 0.01;
constexpr double kLongestDateStep_s = 60;
constexpr double kShortestDateSpan_s = 2;
// Eight steps of ten are that near to the usual one; a program that exports takes its time as it
// comes.
constexpr double kUnevenDates = 1.25;

FrameTimes AtRate(int count, double rate_hz) {
  FrameTimes times;
  for (int i = 0; i < count; ++i) times.time_s.push_back(i / rate_hz);
  return times;
}

// The first frame that is not later than the one before.
std::optional<std::size_t> FirstNotRising(const std::vector<double>& times_s) {
  const auto found = std::adjacent_find(
      times_s.begin(), times_s.end(), [](double a, double b) { return !(a < b); });
  if (found == times_s.end()) return std::nullopt;
  return static_cast<std::size_t>(found - times_s.begin()) + 1;
}

// Stamps of the wall clock as times from the first frame on.
std::optional<FrameTimes> FromStamps(const std::vector<double>& stamps_s) {
  FrameTimes times;
  times.time_s = SpreadStamps(stamps_s);
  if (times.time_s.empty()) return std::nullopt;
  times.wall_s = times.time_s.front();
  for (double& time_s : times.time_s) time_s -= *times.wall_s;
  return times;
}

std::string Seconds(double seconds) { return FormatNumber(std::round(seconds * 1000) / 1000); }

// "300 frames in 37.4 s"
std::string Span(const FrameTimes& times) {
  return std::to_string(times.time_s.size()) + " frames in " +
         Seconds(times.time_s.back() - times.time_s.front()) + " s";
}

// Which frames a table of times is for is not known where too many are lost.
std::vector<double> FromTable(const std::filesystem::path& table, const CountPages& pages) {
  try {
    return ReadFrameTimes(table, pages.count(), "frames.times", pages.cut_off());
  } catch (const InputError& error) {
    if (!pages.cut_off()) throw;
    throw InputError(pages.Notes().front() + "; " + error.what());
  }
}

FrameTimes ByPattern(const IniFile& ini, const IniEntry& entry, const CountPages& pages) {
  const std::vector<std::string> names = pages.PageNames();
  if (names.empty()) {
    throw InputError(ini.Where(entry) + " is for frames in files of their own; remove it");
  }
  std::vector<double> stamps_s;
  for (const std::string& name : names) {
    const auto stamp = ParseStamp(std::filesystem::path(name).filename().string(), entry.value);
    if (!stamp) {
      throw InputError(ini.Where(entry) + " = " + Quoted(entry.value) + " does not fit " +
                       Quoted(name) + "; %Y %m %d %H %M %S %f %s stand for a time, * for any text");
    }
    stamps_s.push_back(*stamp);
  }
  if (auto times = FromStamps(stamps_s)) return *std::move(times);
  throw InputError(ini.Where(entry) + " = " + Quoted(entry.value) +
                   " gives times that do not rise from file to file; correct it");
}

// Dates of files that rise as evenly as frames do.
std::optional<FrameTimes> FromDates(const std::vector<double>& dates_s) {
  if (dates_s.size() < 8 || !std::is_sorted(dates_s.begin(), dates_s.end())) return std::nullopt;
  std::vector<double> steps_s;
  for (std::size_t i = 1; i < dates_s.size(); ++i) steps_s.push_back(dates_s[i] - dates_s[i - 1]);
  std::sort(steps_s.begin(), steps_s.end());
  const double usual = steps_s[steps_s.size() / 2];
  const bool even = steps_s[steps_s.size() / 10] * kUnevenDates > usual &&
                    steps_s[steps_s.size() * 9 / 10] < kUnevenDates * usual;
  if (!even || usual < kShortestDateStep_s || usual > kLongestDateStep_s ||
      dates_s.back() - dates_s.front() < kShortestDateSpan_s) {
    return std::nullopt;
  }
  auto times = FromStamps(dates_s);
  if (!times || FirstNotRising(times->time_s)) return std::nullopt;
  times->zone_open = false;
  return times;
}

std::optional<FrameTimes> FromHeadings(const CountPages& pages) {
  if (pages.Headings() == nullptr) return std::nullopt;
  auto read = ReadHeadingTimes(*pages.Headings(), pages.count(), "frames.source");
  if (!read) return std::nullopt;
  FrameTimes times;
  times.time_s = std::move(read->time_s);
  if (read->wall) {
    times.wall_s = read->wall->since_1970_s;
    times.zone_s = read->wall->zone_s;
  }
  times.own_start = !read->wall;
  times.assumed = {{"frames.times",
                    std::string(kTimesFromHeadings) + Quoted(read->label),
                    AssumedHow::kDefault,
                    Span(times)}};
  return times;
}

std::optional<FrameTimes> FromFiles(const CountPages& pages) {
  const auto told = [](std::optional<FrameTimes> times,
                       std::string_view from,
                       AssumedHow how = AssumedHow::kDefault) {
    if (times) times->assumed = {{"frames.times", std::string(from), how, Span(*times)}};
    return times;
  };
  const std::vector<std::string> names = pages.PageNames();
  if (!names.empty()) {
    if (auto times = told(FromStamps(TimesInNames(names)), kTimesFromNames)) return times;
  }
  if (auto times = told(FromStamps(pages.WallTimes()), kTimesFromTiff)) return times;
  return told(FromDates(pages.FileDates()), kTimesFromDates, AssumedHow::kGuess);
}

void CheckRising(const FrameTimes& times, const CountPages& pages) {
  const auto bad = FirstNotRising(times.time_s);
  if (!bad) return;
  const std::vector<std::string> names = pages.PageNames();
  const auto frame = [&](std::size_t i) {
    return i < names.size() ? Quoted(std::filesystem::path(names[i]).filename().string())
                            : "frame " + std::to_string(i);
  };
  throw InputError("frames.source: the time of " + frame(*bad) + " is not later than that of " +
                   frame(*bad - 1) +
                   "; remove the frame that is too many, or set frames.times or frames.rate_hz");
}

FrameTimes TakeFrameTimes(const IniFile& ini,
                          const std::filesystem::path& folder,
                          const CountPages& pages) {
  const auto rate = ini.Find("frames.rate_hz");
  const auto rate_hz = rate ? ParseNumber(rate->value) : std::nullopt;
  if (rate && !rate_hz) {
    throw InputError(ini.Where(*rate) + " = " + Quoted(rate->value) +
                     " is not a finite number; write it like 12.5, units are fixed");
  }
  if (rate_hz && *rate_hz <= 0) {
    throw InputError(ini.Where(*rate) + " = " + Quoted(rate->value) + "; must be > 0");
  }
  if (const auto table = ini.Find("frames.times")) {
    if (table->value.empty()) {
      throw InputError(ini.Where(*table) + " is empty; name a file or remove the line");
    }
    FrameTimes times;
    times.time_s = FromTable(folder / table->value, pages);
    if (times.time_s.size() > static_cast<std::size_t>(pages.count())) {
      times.assumed.push_back({"frames.times",
                               "the first " + std::to_string(pages.count()) + " of " +
                                   std::to_string(times.time_s.size()) +
                                   " rows, as the recording is cut off"});
      times.time_s.resize(static_cast<std::size_t>(pages.count()));
    }
    return times;
  }
  if (const auto pattern = ini.Find("frames.name_times")) return ByPattern(ini, *pattern, pages);
  if (rate_hz) {
    FrameTimes times = AtRate(pages.count(), *rate_hz);
    const std::vector<double> stamps_s = SpreadStamps(pages.WallTimes());
    if (!stamps_s.empty()) times.wall_s = stamps_s.front();
    return times;
  }
  if (FrameTimes times; !(times.time_s = pages.times_s()).empty()) return times;
  if (auto times = FromHeadings(pages)) return *std::move(times);
  if (auto times = FromFiles(pages)) return *std::move(times);
  FrameTimes times = AtRate(pages.count(), kDefaultRateHz);
  times.assumed = {{"frames.rate_hz", FormatNumber(kDefaultRateHz) + " Hz"}};
  return times;
}

}  // namespace

FrameTimes FindFrameTimes(const IniFile& ini,
                          const std::filesystem::path& folder,
                          const CountPages& pages) {
  FrameTimes times = TakeFrameTimes(ini, folder, pages);
  CheckRising(times, pages);
  return times;
}

}  // namespace ohmglow
