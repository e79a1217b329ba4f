// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "name_times.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>

#include "text.h"

namespace ohmglow {
namespace {

std::string_view DigitsAt(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && IsDigit(text[end])) ++end;
  return text.substr(at, end - at);
}

int Number(std::string_view digits) {
  int value = 0;
  for (const char c : digits) value = 10 * value + (c - '0');
  return value;
}

double Fraction(std::string_view digits) {
  double value = 0;
  double unit = 0.1;
  for (const char c : digits) {
    value += unit * (c - '0');
    unit /= 10;
  }
  return value;
}

// What a pattern has read so far.
struct Parts {
  int year = 1970, month = 1, day = 1, hour = 0, minute = 0;
  double second = 0;
  double fraction = 0;
  std::optional<double> epoch_s;
};

// The number that a letter of a pattern stands for; false where it is not there.
bool TakeNumber(std::string_view text, std::size_t& at, char letter, Parts& parts) {
  const std::string_view digits = DigitsAt(text, at);
  const std::size_t wanted = letter == 'Y' ? 4 : letter == 'f' || letter == 's' ? digits.size() : 2;
  if (digits.empty() || digits.size() < wanted || digits.size() > 18) return false;
  const std::string_view own = digits.substr(0, wanted);
  at += wanted;
  switch (letter) {
    case 'Y':
      parts.year = Number(own);
      return true;
    case 'm':
      parts.month = Number(own);
      return true;
    case 'd':
      parts.day = Number(own);
      return true;
    case 'H':
      parts.hour = Number(own);
      return true;
    case 'M':
      parts.minute = Number(own);
      return true;
    case 'S':
      parts.second = Number(own);
      return true;
    case 'f':
      parts.fraction = Fraction(own);
      return true;
    case 's': {
      double seconds = 0;
      for (const char c : own) seconds = 10 * seconds + (c - '0');
      parts.epoch_s = seconds;
      return true;
    }
    default:
      return false;
  }
}

bool Fits(std::string_view text, std::string_view pattern, Parts parts, int depth, Parts& found) {
  std::size_t at = 0;
  for (std::size_t p = 0; p < pattern.size(); ++p) {
    if (pattern[p] == '*') {
      if (depth > 8) return false;
      for (std::size_t skip = at; skip <= text.size(); ++skip) {
        if (Fits(text.substr(skip), pattern.substr(p + 1), parts, depth + 1, found)) return true;
      }
      return false;
    }
    if (pattern[p] == '%' && p + 1 < pattern.size()) {
      if (!TakeNumber(text, at, pattern[++p], parts)) return false;
    } else if (at < text.size() && (pattern[p] == '?' || pattern[p] == text[at])) {
      ++at;
    } else {
      return false;
    }
  }
  found = parts;
  return at == text.size();
}

struct NameStamp {
  double time_s = 0;               // Whole seconds.
  std::string_view fraction = {};  // Digits behind them.
};

// "20261128_180500_125": eight digits, at most two signs, six digits.
std::optional<NameStamp> CompactStamp(std::string_view name, std::size_t at) {
  std::string_view digits = DigitsAt(name, at);
  std::string_view clock;
  std::size_t end = at + digits.size();
  if (digits.size() >= 14) {
    clock = digits.substr(8, 6);
    end = at + 14;
  } else if (digits.size() == 8) {
    std::size_t next = end;
    while (next < name.size() && next < end + 2 && !IsDigit(name[next])) ++next;
    clock = DigitsAt(name, next);
    if (next == end || clock.size() < 6) return std::nullopt;
    clock = clock.substr(0, 6);
    end = next + 6;
  } else {
    return std::nullopt;
  }
  const auto time_s = SecondsSince1970(Number(digits.substr(0, 4)),
                                       Number(digits.substr(4, 2)),
                                       Number(digits.substr(6, 2)),
                                       Number(clock.substr(0, 2)),
                                       Number(clock.substr(2, 2)),
                                       Number(clock.substr(4, 2)));
  if (!time_s || Number(digits.substr(0, 4)) < 1990) return std::nullopt;
  // A fraction follows at once or behind one sign.
  std::size_t next = end;
  if (next < name.size() && !IsDigit(name[next])) ++next;
  return NameStamp{*time_s, DigitsAt(name, next)};
}

// "2026-11-28T18-05-00.125": digits in groups of 4, 2, 2, 2, 2, 2, one sign between.
std::optional<NameStamp> PartedStamp(std::string_view name, std::size_t at) {
  std::array<int, 6> parts{};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const std::string_view digits = DigitsAt(name, at);
    if (digits.size() != (i == 0 ? 4U : 2U)) return std::nullopt;
    parts[i] = Number(digits);
    at += digits.size();
    if (i + 1 == parts.size()) break;
    if (at >= name.size() || IsDigit(name[at])) return std::nullopt;
    ++at;
  }
  const auto time_s = SecondsSince1970(parts[0], parts[1], parts[2], parts[3], parts[4], parts[5]);
  if (!time_s || parts[0] < 1990) return std::nullopt;
  if (at < name.size() && !IsDigit(name[at])) ++at;
  return NameStamp{*time_s, DigitsAt(name, at)};
}

std::optional<NameStamp> StampOf(std::string_view name) {
  for (std::size_t at = 0; at < name.size(); ++at) {
    if (!IsDigit(name[at]) || (at > 0 && IsDigit(name[at - 1]))) continue;
    if (const auto stamp = CompactStamp(name, at)) return stamp;
    if (const auto stamp = PartedStamp(name, at)) return stamp;
    const std::string_view digits = DigitsAt(name, at);
    // Milliseconds since 1970, from 2001 to 2033.
    if (digits.size() == 13 && digits[0] == '1') {
      double whole = 0;
      for (const char c : digits.substr(0, 10)) whole = 10 * whole + (c - '0');
      return NameStamp{whole, digits.substr(10)};
    }
  }
  return std::nullopt;
}

// Whether the digits behind the seconds go up by one from file to file.
bool OnlyCount(const std::vector<NameStamp>& stamps) {
  for (std::size_t i = 1; i < stamps.size(); ++i) {
    const std::string_view a = stamps[i - 1].fraction;
    const std::string_view b = stamps[i].fraction;
    if (a.size() > 9 || b.size() > 9 || Number(b) != Number(a) + 1) return false;
  }
  return stamps.size() > 1;
}

// A stamp that stands twice goes half way to the next; three in a row stay equal.
std::vector<double> NudgeRepeated(const std::vector<double>& stamps_s) {
  std::vector<double> times_s = stamps_s;
  for (std::size_t i = 1; i < stamps_s.size(); ++i) {
    if (stamps_s[i] != stamps_s[i - 1]) continue;
    const double step_s = i + 1 < stamps_s.size() ? stamps_s[i + 1] - stamps_s[i]
                          : i > 1                 ? stamps_s[i - 1] - stamps_s[i - 2]
                                                  : 0;
    const bool third = i > 1 && stamps_s[i - 2] == stamps_s[i];
    if (!third) times_s[i] += step_s / 2;
  }
  return times_s;
}

}  // namespace

std::optional<double> SecondsSince1970(
    int year, int month, int day, int hour, int minute, double second) {
  using std::chrono::sys_days;
  const std::chrono::year_month_day date(std::chrono::year(year),
                                         std::chrono::month(static_cast<unsigned>(month)),
                                         std::chrono::day(static_cast<unsigned>(day)));
  if (!date.ok() || hour < 0 || hour > 23 || minute < 0 || minute > 59 || !(second >= 0) ||
      second >= 61) {
    return std::nullopt;
  }
  const double days = static_cast<double>(sys_days(date).time_since_epoch().count());
  return days * 86400 + hour * 3600 + minute * 60 + second;
}

std::optional<double> ParseStamp(std::string_view text, std::string_view pattern) {
  Parts parts;
  if (!Fits(text, pattern, Parts(), 0, parts)) return std::nullopt;
  if (parts.epoch_s) return *parts.epoch_s + parts.fraction;
  return SecondsSince1970(
      parts.year, parts.month, parts.day, parts.hour, parts.minute, parts.second + parts.fraction);
}

std::vector<double> TimesInNames(const std::vector<std::string>& names) {
  std::vector<NameStamp> stamps;
  for (const std::string& name : names) {
    const auto stamp = StampOf(name);
    if (!stamp) return {};
    stamps.push_back(*stamp);
  }
  const bool has_fraction =
      !OnlyCount(stamps) && std::all_of(stamps.begin(), stamps.end(), [&](const NameStamp& s) {
        return !s.fraction.empty() && s.fraction.size() <= 9 &&
               s.fraction.size() == stamps.front().fraction.size();
      });
  std::vector<double> times_s;
  for (const NameStamp& stamp : stamps) {
    times_s.push_back(stamp.time_s + (has_fraction ? Fraction(stamp.fraction) : 0));
  }
  return std::is_sorted(times_s.begin(), times_s.end()) ? times_s : std::vector<double>();
}

std::vector<double> SpreadStamps(const std::vector<double>& stamps_s) {
  if (stamps_s.size() < 2 || !std::is_sorted(stamps_s.begin(), stamps_s.end()) ||
      stamps_s.front() == stamps_s.back()) {
    return {};
  }
  const auto repeated = std::adjacent_find(stamps_s.begin(), stamps_s.end());
  if (repeated == stamps_s.end()) return stamps_s;
  const bool whole = std::all_of(
      stamps_s.begin(), stamps_s.end(), [](double stamp) { return stamp == std::floor(stamp); });
  if (!whole) return NudgeRepeated(stamps_s);
  // A stamp of whole seconds stands for the middle of its second.
  const double n = static_cast<double>(stamps_s.size());
  double sum = 0, sum_i = 0, sum_ii = 0, sum_it = 0;
  for (std::size_t i = 0; i < stamps_s.size(); ++i) {
    const double x = static_cast<double>(i) - (n - 1) / 2;
    const double t = stamps_s[i] - stamps_s.front() + 0.5;
    sum += t;
    sum_i += x;
    sum_ii += x * x;
    sum_it += x * t;
  }
  const double slope = sum_it / sum_ii;
  std::vector<double> times_s;
  double worst = 0;
  for (std::size_t i = 0; i < stamps_s.size(); ++i) {
    times_s.push_back(stamps_s.front() + sum / n + slope * (static_cast<double>(i) - (n - 1) / 2));
    worst = std::max(worst, std::abs(times_s[i] - stamps_s[i] - 0.5));
  }
  if (worst <= 1 && slope > 0) return times_s;
  for (std::size_t first = 0; first < stamps_s.size();) {
    std::size_t end = first;
    while (end < stamps_s.size() && stamps_s[end] == stamps_s[first]) ++end;
    for (std::size_t i = first; i < end; ++i) {
      times_s[i] = stamps_s[first] +
                   (static_cast<double>(i - first) + 0.5) / static_cast<double>(end - first);
    }
    first = end;
  }
  return times_s;
}

}  // namespace ohmglow
