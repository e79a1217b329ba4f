// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/words/say.h"
#include "picture/text.h"
#include "picture/words.h"

namespace ohmglow {
namespace {

constexpr int kNameColumns = 42;
constexpr int kColumns = 96;
constexpr double kWorthSaying = 1.1;  // Times as much.
constexpr double kLeastFactor = 1e-6;
constexpr double kSaysNothing = 0.005;  // A factor that reads 1.00.
constexpr double kLeastShown = 1e-4;

constexpr const char* kHowToRead =
    "  Each number multiplies the odds that a fault sits there: 1 says nothing, below 1 speaks\n"
    "  against it. Odds of 3 mean three to one.\n";
constexpr const char* kNoEvidence = "result.json holds no evidence: run 'ohmglow locate' again";

struct Row {
  std::string name;
  double place = 1;
  double against = 1;

  [[nodiscard]] double ratio() const {
    return std::max(place, kLeastFactor) / std::max(against, kLeastFactor);
  }
  [[nodiscard]] bool says_nothing() const {
    return std::abs(place - 1) < kSaysNothing && std::abs(against - 1) < kSaysNothing;
  }
};

const Candidate& At(const LocateResult& result, std::size_t rank) {
  if (rank >= 1 && rank <= result.candidates.size()) return result.candidates[rank - 1];
  throw OptionError("place " + std::to_string(rank) + " is not in the result: it lists " +
                    std::to_string(result.candidates.size()));
}

// What was asked of one place alone speaks against none of the other: a factor of 1.
std::vector<Row> RowsOf(const Candidate& place, const Candidate& against) {
  std::vector<Row> rows;
  const auto row_of = [&](const std::string& name) -> Row& {
    const auto same = [&](const Row& row) { return row.name == name; };
    const auto known = std::find_if(rows.begin(), rows.end(), same);
    if (known != rows.end()) return *known;
    rows.push_back({name, 1, 1});
    return rows.back();
  };
  for (const Evidence& piece : place.evidence) row_of(piece.name).place = piece.factor;
  for (const Evidence& piece : against.evidence) row_of(piece.name).against = piece.factor;
  std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
    return std::abs(std::log(a.ratio())) > std::abs(std::log(b.ratio()));
  });
  return rows;
}

// Plain decimals: who reads them at a bench reads no powers of ten.
std::string Factor(double value) {
  if (value < kLeastShown) return "< " + internal::FormatDigits(kLeastShown, 1);
  if (value < 0.01) return internal::FormatDigits(value, 1);
  if (value >= 10) return internal::FormatDigits(value, 3);
  char text[32];
  std::snprintf(text, sizeof text, "%.2f", value);
  return text;
}

std::string Percent(double prob) {
  char text[32];
  if (prob < 0.01) return "< 1 %";
  std::snprintf(text, sizeof text, "%.0f %%", 100 * prob);
  return text;
}

std::string Odds(const Candidate& candidate) {
  double odds = 1;
  for (const Evidence& piece : candidate.evidence) odds *= piece.factor;
  return Factor(odds);
}

std::string SpeaksFor(double ratio, std::size_t place, std::size_t against) {
  const double times = std::max(ratio, 1 / ratio);
  if (times < kWorthSaying) return "";
  return "place " + std::to_string(ratio > 1 ? place : against) + ", " +
         internal::FormatDigits(internal::RoundDigits(times, 2), 2) + " times";
}

std::string Line(const std::string& name,
                 const std::string& place,
                 const std::string& against,
                 const std::string& words) {
  char text[256];
  std::snprintf(text,
                sizeof text,
                "  %-*s %9s %9s   %s",
                kNameColumns,
                name.c_str(),
                place.c_str(),
                against.c_str(),
                words.c_str());
  std::string line = text;
  line.resize(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

// The rows that tell, the others named in one sentence.
std::string Telling(const std::vector<Row>& rows,
                    const std::function<std::string(const Row&)>& line) {
  std::string text;
  for (const Row& row : rows) {
    if (!row.says_nothing()) text += line(row);
  }
  return text;
}

std::string Silent(const std::vector<Row>& rows) {
  std::string names;
  for (const Row& row : rows) {
    if (!row.says_nothing()) continue;
    names += names.empty() ? "  Says nothing here (1.00): " : ", ";
    names += internal::CleanText(row.name, kNameColumns);
  }
  if (names.empty()) return names;
  std::string text;
  for (const std::string& line : internal::WrapColumns(names + ".", kColumns, 4)) {
    text += line + "\n";
  }
  return text;
}

std::string Title(const Candidate& candidate, std::size_t rank) {
  return "Place " + std::to_string(rank) + ": " + internal::PlaceName(candidate) + ", " +
         internal::ConfidenceText(candidate.confidence);
}

void AddRemarks(const Candidate& candidate, std::size_t rank, std::string& text) {
  text += '\n';
  text += Title(candidate, rank);
  text += '\n';
  for (const Remark& remark : candidate.remarks) {
    std::string item = "- ";
    item += internal::CleanText(Say(remark), 300);
    for (const std::string& line : internal::WrapColumns(item, kColumns, 2)) {
      text += line;
      text += '\n';
    }
  }
}

}  // namespace

std::string ToWhy(const LocateResult& result, std::size_t place, std::size_t against) {
  const Candidate& one = At(result, place);
  const Candidate& other = At(result, against);
  if (place == against) {
    throw OptionError("place " + std::to_string(place) + " cannot be set against itself");
  }
  if (one.evidence.empty() || other.evidence.empty()) {
    throw DataError(kNoEvidence);
  }
  std::string text = Line("What was asked",
                          "place " + std::to_string(place),
                          "place " + std::to_string(against),
                          "speaks for");
  const std::vector<Row> rows = RowsOf(one, other);
  text += Telling(rows, [&](const Row& row) {
    return Line(internal::CleanText(row.name, kNameColumns),
                Factor(row.place),
                Factor(row.against),
                SpeaksFor(row.ratio(), place, against));
  });
  text += Line("All multiplied: the odds", Odds(one), Odds(other), "");
  text += Line("Confidence, the other places weighed",
               Percent(one.confidence),
               Percent(other.confidence),
               "");
  text += Silent(rows);
  text += kHowToRead;
  AddRemarks(one, place, text);
  AddRemarks(other, against, text);
  return text;
}

std::string ToWhy(const LocateResult& result, std::size_t place) {
  const Candidate& one = At(result, place);
  if (one.evidence.empty()) throw DataError(kNoEvidence);
  std::string text = Line("What was asked", "place " + std::to_string(place), "", "");
  const std::vector<Row> rows = RowsOf(one, Candidate());
  text += Telling(rows, [](const Row& row) {
    return Line(internal::CleanText(row.name, kNameColumns), Factor(row.place), "", "");
  });
  text += Line("All multiplied: the odds", Odds(one), "", "");
  text += Line("Confidence, the other places weighed", Percent(one.confidence), "", "");
  text += Silent(rows);
  text += kHowToRead;
  AddRemarks(one, place, text);
  return text;
}

}  // namespace ohmglow
