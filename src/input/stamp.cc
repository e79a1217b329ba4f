// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "stamp.h"

#include <algorithm>
#include <array>
#include <string>
#include <utility>
#include <vector>

#include "name_times.h"
#include "text.h"
#include "unit_words.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLongest = 48;

bool IsLetter(char c) { return c >= 'a' && c <= 'z'; }

int ToInt(std::string_view digits) {
  int value = 0;
  for (const char c : digits.substr(0, 9)) value = 10 * value + (c - '0');
  return value;
}

// Takes the digits at the beginning.
std::string_view TakeDigits(std::string_view& text) {
  std::size_t n = 0;
  while (n < text.size() && IsDigit(text[n])) ++n;
  const std::string_view digits = text.substr(0, n);
  text.remove_prefix(n);
  return digits;
}

bool TakeChar(std::string_view& text, std::string_view any_of) {
  if (text.empty() || any_of.find(text[0]) == std::string_view::npos) return false;
  text.remove_prefix(1);
  return true;
}

std::optional<double> DayOf(int year, int month, int day) {
  if (year < 100) year += 2000;
  if (year < 1970 || year > 2200) return std::nullopt;
  const auto seconds = SecondsSince1970(year, month, day, 0, 0, 0);
  return seconds ? std::optional(*seconds / kDayS) : std::nullopt;
}

std::optional<int> MonthOf(std::string_view word) {
  constexpr std::array<std::pair<std::string_view, int>, 18> kMonths = {{{"jan", 1},
                                                                         {"feb", 2},
                                                                         {"mar", 3},
                                                                         {"mrz", 3},
                                                                         {"maer", 3},
                                                                         {"apr", 4},
                                                                         {"may", 5},
                                                                         {"mai", 5},
                                                                         {"jun", 6},
                                                                         {"jul", 7},
                                                                         {"aug", 8},
                                                                         {"sep", 9},
                                                                         {"oct", 10},
                                                                         {"okt", 10},
                                                                         {"nov", 11},
                                                                         {"dec", 12},
                                                                         {"dez", 12},
                                                                         {"sept", 9}}};
  for (const auto& [name, month] : kMonths) {
    if (word.size() >= name.size() && word.starts_with(name)) return month;
  }
  return std::nullopt;
}

struct DateParts {
  std::vector<std::string_view> numbers;
  std::optional<int> month;  // By name.
  std::size_t month_at = 0;  // Numbers before the name.
  bool points = false;
};

std::optional<DateParts> TakeDateParts(std::string_view text) {
  DateParts parts;
  while (!text.empty()) {
    if (IsDigit(text[0])) {
      parts.numbers.push_back(TakeDigits(text));
    } else if (IsLetter(text[0])) {
      std::size_t n = 0;
      while (n < text.size() && IsLetter(text[n])) ++n;
      const auto month = MonthOf(text.substr(0, n));
      if (!month || parts.month) return std::nullopt;
      parts.month = month;
      parts.month_at = parts.numbers.size();
      text.remove_prefix(n);
    } else {
      parts.points |= text[0] == '.';
      if (!TakeChar(text, "-/. ,")) return std::nullopt;
    }
  }
  return parts;
}

// Sets the stamp's day; false for what is no date.
bool ReadDate(std::string_view text, DateOrder order, Stamp& stamp) {
  const auto parts = TakeDateParts(text);
  if (!parts) return false;
  const auto& n = parts->numbers;
  std::optional<double> day;
  if (parts->month) {
    if (n.size() != 2) return false;
    day = n[0].size() == 4 ? DayOf(ToInt(n[0]), *parts->month, ToInt(n[1]))
                           : DayOf(ToInt(n[1]), *parts->month, ToInt(n[0]));
  } else if (n.size() == 1 && n[0].size() == 8) {
    day = DayOf(ToInt(n[0].substr(0, 4)), ToInt(n[0].substr(4, 2)), ToInt(n[0].substr(6, 2)));
  } else if (n.size() == 3 && n[0].size() == 4) {
    day = DayOf(ToInt(n[0]), ToInt(n[1]), ToInt(n[2]));
  } else if (n.size() == 3 && (n[2].size() == 4 || n[2].size() == 2)) {
    const int year = ToInt(n[2]);
    const auto day_first = DayOf(year, ToInt(n[1]), ToInt(n[0]));
    const auto month_first = parts->points ? std::nullopt : DayOf(year, ToInt(n[0]), ToInt(n[1]));
    stamp.order_open = day_first && month_first && *day_first != *month_first;
    const bool first = month_first ? order == DateOrder::kDayFirst && day_first : true;
    day = first ? day_first : month_first;
  }
  if (!day) return false;
  stamp.has_date = true;
  stamp.seconds += *day * kDayS;
  return true;
}

// "Z", "+01:00", "-0330", "+2", am, pm; false for other text.
bool ReadTail(std::string_view text, bool& am, bool& pm, Stamp& stamp) {
  text = Trim(text);
  am = text.starts_with("am") || text.starts_with("a.m.");
  pm = text.starts_with("pm") || text.starts_with("p.m.");
  if (am || pm) text = Trim(text.substr(text[1] == '.' ? 4 : 2));
  if (text.empty()) return true;
  if (text == "z" || text == "utc" || text == "gmt") {
    stamp.zone_s = 0;
    return true;
  }
  const double sign = text[0] == '-' ? -1 : 1;
  if (!TakeChar(text, "+-")) return false;
  const std::string_view hours = TakeDigits(text);
  int minutes = 0;
  if (TakeChar(text, ":")) {
    minutes = ToInt(TakeDigits(text));
  } else if (hours.size() == 4) {
    minutes = ToInt(hours.substr(2));
  }
  if (hours.empty() || !text.empty() || ToInt(hours.substr(0, 2)) > 14 || minutes > 59)
    return false;
  stamp.zone_s = sign * (3600 * ToInt(hours.substr(0, 2)) + 60 * minutes);
  return true;
}

double TakeFraction(std::string_view& text) {
  const std::string_view digits = TakeDigits(text);
  double scale = 1;
  double value = 0;
  for (const char c : digits.substr(0, 12)) value += (c - '0') * (scale /= 10);
  return value;
}

bool ReadClock(std::string_view text, Stamp& stamp) {
  std::array<double, 3> fields{};
  bool longer = false;  // A field of three or more digits is none of a clock.
  while (stamp.clock_fields < 3) {
    const std::string_view digits = TakeDigits(text);
    longer |= digits.empty() || digits.size() > 2;
    fields[static_cast<std::size_t>(stamp.clock_fields++)] = ToInt(digits);
    if (stamp.clock_fields == 3 || !TakeChar(text, ":")) break;
  }
  double fraction = 0;
  const std::string_view signs = stamp.clock_fields == 3 ? ".,:" : ".,";
  if (text.size() > 1 && signs.find(text[0]) != std::string_view::npos && IsDigit(text[1])) {
    text.remove_prefix(1);
    fraction = TakeFraction(text);
    stamp.has_fraction = true;
  }
  bool am = false;
  bool pm = false;
  if (longer || stamp.clock_fields < 2 || !ReadTail(text, am, pm, stamp)) return false;
  if (stamp.clock_fields == 2 && stamp.has_fraction) {
    fields = {0, fields[0], fields[1]};  // 01:23.5 can be minutes and seconds only.
    stamp.clock_fields = 3;
  }
  // 60 is a leap second (ISO 8601).
  if (fields[1] > 59 || fields[2] > 60) return false;
  if ((am || pm) && (fields[0] < 1 || fields[0] > 12)) return false;
  if (am || pm) fields[0] = (fields[0] == 12 ? 0 : fields[0]) + (pm ? 12 : 0);
  if (stamp.has_date && fields[0] > 24) return false;
  stamp.has_clock = true;
  stamp.seconds += 3600 * fields[0] + 60 * fields[1] + fields[2] + fraction;
  return true;
}

// ISO 8601's short form: 20260301T120000.25Z, also without the T.
std::optional<std::string> Lengthened(std::string_view text) {
  std::string_view rest = text;
  const std::string_view date = TakeDigits(rest);
  std::string_view clock;
  if (date.size() == 14) {
    clock = date.substr(8);
  } else if (date.size() == 8 && TakeChar(rest, "t_ -")) {
    clock = TakeDigits(rest);
  }
  if (clock.size() != 6) return std::nullopt;
  const auto piece = [](std::string_view from, std::size_t at, std::size_t n) {
    return std::string(from.substr(at, n));
  };
  return piece(date, 0, 4) + "-" + piece(date, 4, 2) + "-" + piece(date, 6, 2) + " " +
         piece(clock, 0, 2) + ":" + piece(clock, 2, 2) + ":" + piece(clock, 4, 2) +
         std::string(rest);
}

// "14.03.20.5" and "2026-03-17 14.03.20": the clock of the north of Europe. A date alone has
// three fields, so three are a clock only behind one.
std::optional<std::string> WithColons(std::string_view text) {
  const std::size_t blank = text.rfind(' ');
  const bool dated = blank != std::string_view::npos;
  std::string_view rest = dated ? text.substr(blank + 1) : text;
  std::string clock;
  for (int field = 0; field < 3; ++field) {
    const std::string_view digits = TakeDigits(rest);
    if (digits.empty() || digits.size() > 2) return std::nullopt;
    clock += (field > 0 ? ":" : "") + std::string(digits);
    if (field < 2 && !TakeChar(rest, ".")) return std::nullopt;
  }
  const bool fraction = rest.size() > 1 && (rest[0] == '.' || rest[0] == ',');
  if (fraction ? !std::all_of(rest.begin() + 1, rest.end(), IsDigit) : !dated || !rest.empty()) {
    return std::nullopt;
  }
  return std::string(dated ? text.substr(0, blank + 1) : "") + clock + std::string(rest);
}

}  // namespace

std::optional<Stamp> ParseStamp(std::string_view text, DateOrder order) {
  if (text.size() > kLongest) return std::nullopt;
  std::string folded = Fold(Trim(text));
  if (auto longer = Lengthened(folded)) folded = *std::move(longer);
  if (auto colons = WithColons(folded)) folded = *std::move(colons);
  const std::string_view all = folded;
  if (all.empty()) return std::nullopt;
  Stamp stamp;
  std::size_t clock = all.find(':');
  if (clock == std::string_view::npos) {
    if (!ReadDate(all, order, stamp)) return std::nullopt;
    return stamp;
  }
  while (clock > 0 && IsDigit(all[clock - 1])) --clock;
  std::string_view date = Trim(all.substr(0, clock));
  while (!date.empty() && (date.back() == 't' || date.back() == ',' || date.back() == '_')) {
    date = Trim(date.substr(0, date.size() - 1));
  }
  if (!date.empty() && !ReadDate(date, order, stamp)) return std::nullopt;
  if (!ReadClock(all.substr(clock), stamp)) return std::nullopt;
  return stamp;
}

}  // namespace ohmglow
