// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/words/say.h"
#include "picture/answer_words.h"
#include "picture/loss_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

constexpr int kNameColumns = 42;
constexpr int kNumberColumns = 9;
constexpr std::size_t kRemarkChars = 400;
constexpr int kWrapColumns = 96;
constexpr double kWorthSaying = 1.1;  // Times as much.
constexpr double kLeastFactor = 1e-6;
constexpr double kSaysNothing = 0.005;  // A factor that reads 1.00.
constexpr double kLeastShown = 1e-4;

constexpr const char* kNoEvidence = "result.json holds no evidence: run 'ohmglow locate' again";

struct Row {
  Evidence asked;
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
  const auto row_of = [&](const Evidence& piece) -> Row& {
    const auto same = [&](const Row& row) { return row.asked.name == piece.name; };
    const auto known = std::find_if(rows.begin(), rows.end(), same);
    if (known != rows.end()) return *known;
    rows.push_back({piece, 1, 1});
    return rows.back();
  };
  for (const Evidence& piece : place.evidence) row_of(piece).place = piece.factor;
  for (const Evidence& piece : against.evidence) row_of(piece).against = piece.factor;
  std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
    return std::abs(std::log(a.ratio())) > std::abs(std::log(b.ratio()));
  });
  return rows;
}

// The sentences of one report, and its numbers, in a language.
class Why {
 public:
  explicit Why(const Words& words) : words_(words) {}

  // Plain decimals: who reads them at a bench reads no powers of ten.
  [[nodiscard]] std::string Factor(double value) const {
    if (value < kLeastShown) return "< " + internal::DigitsText(kLeastShown, 1, words_);
    if (value < 0.01) return internal::DigitsText(value, 1, words_);
    if (value >= 10) return internal::DigitsText(value, 3, words_);
    return internal::FormNumber(value, "2", words_);
  }

  [[nodiscard]] std::string Odds(const Candidate& candidate) const {
    double odds = 1;
    for (const Evidence& piece : candidate.evidence) odds *= piece.factor;
    return Factor(odds);
  }

  [[nodiscard]] std::string Place(std::size_t rank) const {
    return words_.Fill("why.place", {{"place", std::to_string(rank)}});
  }

  [[nodiscard]] std::string SpeaksFor(double ratio, std::size_t place, std::size_t against) const {
    const double times = std::max(ratio, 1 / ratio);
    if (times < kWorthSaying) return "";
    return words_.Fill(
        "why.for_place",
        {{"place", std::to_string(ratio > 1 ? place : against)},
         {"times", internal::DigitsText(internal::RoundDigits(times, 2), 2, words_)}});
  }

  [[nodiscard]] std::string Name(const Row& row) const {
    return internal::CleanText(internal::EvidenceWords(row.asked, words_), kNameColumns);
  }

  // The rows that tell.
  [[nodiscard]] std::string Telling(const std::vector<Row>& rows,
                                    const std::function<std::string(const Row&)>& line) const {
    std::string text;
    for (const Row& row : rows) {
      if (!row.says_nothing()) text += line(row);
    }
    return text;
  }

  // The others, named in one sentence.
  [[nodiscard]] std::string Silent(const std::vector<Row>& rows) const {
    std::vector<std::string> names;
    for (const Row& row : rows) {
      if (row.says_nothing()) names.push_back(Name(row));
    }
    if (names.empty()) return {};
    const std::string listed = internal::ListText(names, words_, "list.comma", "list.comma");
    return Wrapped("  " + words_.Fill("why.silent", {{"names", listed}}), 4);
  }

  [[nodiscard]] std::string Remarks(const Candidate& candidate, std::size_t rank) const {
    std::string text =
        "\n" +
        words_.Fill("why.title",
                    {{"rank", std::to_string(rank)},
                     {"place", internal::PlaceName(candidate, words_)},
                     {"certainty", internal::ConfidenceText(candidate.confidence, words_)}}) +
        "\n";
    for (const Remark& remark : candidate.remarks) {
      text += Wrapped("- " + internal::CleanText(Say(remark, words_), kRemarkChars), 2);
    }
    return text;
  }

  // Whether the watts, which were asked about too, hang on an emissivity that was told.
  [[nodiscard]] std::string Emissivity(const LocateResult& result) const {
    const std::string note = internal::EmissivityNote(result, words_);
    return note.empty() ? note : Wrapped("  " + note, 2);
  }

  [[nodiscard]] std::string HowToRead() const {
    return Wrapped("  " + words_.Get("why.how_to_read"), 2);
  }

  [[nodiscard]] std::string Get(std::string_view key) const { return words_.Get(key); }

 private:
  static std::string Wrapped(const std::string& text, int indent) {
    std::string rows;
    for (const std::string& line : internal::WrapColumns(text, kWrapColumns, indent)) {
      rows += line + "\n";
    }
    return rows;
  }

  const Words& words_;
};

std::string Percent(double prob) {
  if (prob < 0.01) return "< 1 %";
  return std::to_string(std::lround(100 * prob)) + " %";
}

std::string Padded(const std::string& text, int columns, bool right) {
  const int missing = std::max(0, columns - internal::NumColumns(text));
  const std::string blanks(static_cast<std::size_t>(missing), ' ');
  return right ? blanks + text : text + blanks;
}

std::string Line(const std::string& name,
                 const std::string& place,
                 const std::string& against,
                 const std::string& words) {
  std::string line = "  " + Padded(name, kNameColumns, false) + " " +
                     Padded(place, kNumberColumns, true) + " " +
                     Padded(against, kNumberColumns, true) + "   " + words;
  line.resize(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

}  // namespace

std::string ToWhy(const LocateResult& result,
                  std::size_t place,
                  std::size_t against,
                  const Words& words) {
  const Candidate& one = At(result, place);
  const Candidate& other = At(result, against);
  if (place == against) {
    throw OptionError("place " + std::to_string(place) + " cannot be set against itself");
  }
  if (one.evidence.empty() || other.evidence.empty()) throw DataError(kNoEvidence);
  const Why why(words);
  std::string text =
      Line(why.Get("why.asked"), why.Place(place), why.Place(against), why.Get("why.speaks_for"));
  const std::vector<Row> rows = RowsOf(one, other);
  text += why.Telling(rows, [&](const Row& row) {
    return Line(why.Name(row),
                why.Factor(row.place),
                why.Factor(row.against),
                why.SpeaksFor(row.ratio(), place, against));
  });
  text += Line(why.Get("why.odds"), why.Odds(one), why.Odds(other), "");
  text += Line(why.Get("why.confidence"), Percent(one.confidence), Percent(other.confidence), "");
  return text + why.Silent(rows) + why.HowToRead() + why.Emissivity(result) +
         why.Remarks(one, place) + why.Remarks(other, against);
}

std::string ToWhy(const LocateResult& result, std::size_t place, const Words& words) {
  const Candidate& one = At(result, place);
  if (one.evidence.empty()) throw DataError(kNoEvidence);
  const Why why(words);
  std::string text = Line(why.Get("why.asked"), why.Place(place), "", "");
  const std::vector<Row> rows = RowsOf(one, Candidate());
  text += why.Telling(
      rows, [&](const Row& row) { return Line(why.Name(row), why.Factor(row.place), "", ""); });
  text += Line(why.Get("why.odds"), why.Odds(one), "", "");
  text += Line(why.Get("why.confidence"), Percent(one.confidence), "", "");
  return text + why.Silent(rows) + why.HowToRead() + why.Emissivity(result) +
         why.Remarks(one, place);
}

}  // namespace ohmglow
