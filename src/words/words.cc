// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/words/words.h"

#include <algorithm>
#include <optional>

#include "ohmglow/base/error.h"
#include "words/catalogues.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using Texts = std::map<std::string, std::string, std::less<>>;

constexpr std::size_t kKeyChars = 60;
constexpr std::size_t kTextChars = 500;
constexpr std::string_view kPage = "page";
constexpr std::string_view kReport = "report";
constexpr std::string_view kIsolate = "\u2068";  // First strong isolate.
constexpr std::string_view kPopIsolate = "\u2069";

std::string_view Trimmed(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r";
  const std::size_t first = text.find_first_not_of(kBlank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

// The {names} of a text in order; nothing where a brace stays open.
std::optional<std::vector<std::string>> NamesIn(std::string_view text) {
  std::vector<std::string> names;
  for (std::size_t pos = text.find_first_of("{}"); pos != std::string_view::npos;
       pos = text.find_first_of("{}", pos + 1)) {
    const std::size_t end = text.find_first_of("{}", pos + 1);
    if (text[pos] == '}' || end == std::string_view::npos || text[end] == '{') return std::nullopt;
    names.emplace_back(text.substr(pos + 1, end - pos - 1));
    pos = end;
  }
  return names;
}

[[noreturn]] void Fail(const std::string& name, int line, const std::string& what) {
  throw InputError(name + ", line " + std::to_string(line) + ": " + what);
}

std::string InQuotes(std::string_view text) {
  return std::string("'")
      .append(internal::CleanText(text.substr(0, 4 * kKeyChars), kKeyChars))
      .append("'");
}

void CheckNames(std::string_view text,
                std::string_view english,
                const std::string& name,
                int line) {
  const auto names = NamesIn(text);
  if (!names) Fail(name, line, "a brace has no partner; write {name}");
  const auto known = NamesIn(english).value_or(std::vector<std::string>());
  for (const std::string& used : *names) {
    if (std::find(known.begin(), known.end(), used) != known.end()) continue;
    std::string has;
    for (const std::string& one : known) {
      has.append(has.empty() ? "{" : ", {").append(one).append("}");
    }
    Fail(name,
         line,
         InQuotes(std::string("{").append(used).append("}")) +
             " cannot be filled in here; this text has " +
             (has.empty() ? "nothing to fill in" : has));
  }
}

/// @param english  to check against; empty while English itself is read.
Texts ReadCatalogue(std::string_view text, const std::string& name, const Texts& english) {
  Texts texts;
  int line = 0;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  while (!text.empty()) {
    ++line;
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view row = Trimmed(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    if (row.empty() || row[0] == '#') continue;
    const std::size_t equals = row.find('=');
    if (equals == std::string_view::npos || equals == 0) {
      Fail(name, line, InQuotes(row) + " is not key = text; correct or remove it");
    }
    const std::string key =
        internal::CleanText(Trimmed(row.substr(0, equals)).substr(0, 4 * kKeyChars), kKeyChars);
    const std::string_view raw = Trimmed(row.substr(equals + 1)).substr(0, 8 * kTextChars);
    const std::string value = internal::CleanText(raw, kTextChars);
    if (value.empty())
      Fail(name, line, InQuotes(key) + " has no text; write one or remove the line");
    const auto standard = english.find(key);
    if (standard != english.end()) CheckNames(value, standard->second, name, line);
    if (!texts.emplace(key, value).second) {
      Fail(name, line, InQuotes(key) + " is given twice; keep one");
    }
  }
  return texts;
}

std::string_view TextOf(std::string_view book, std::string_view language) {
  for (const auto& built_in : internal::AllBuiltInWords()) {
    if (built_in.book == book && built_in.language == language) return built_in.text;
  }
  return {};
}

const Texts& English(std::string_view book) {
  static const Texts page = ReadCatalogue(TextOf(kPage, "en"), "the page in English", {});
  static const Texts report = ReadCatalogue(TextOf(kReport, "en"), "the report in English", {});
  return book == kPage ? page : report;
}

[[noreturn]] void FailLanguage(std::string_view language, const char* otherwise) {
  std::string known;
  for (const std::string& name : Words::Languages()) known += (known.empty() ? "" : ", ") + name;
  throw OptionError("language " + InQuotes(language) + " is unknown; there are " + known +
                    otherwise);
}

// The letters of scripts that run from right to left: Hebrew to Arabic
// Extended-A, their presentation forms, and the two blocks beyond U+FFFF.
bool HasRightToLeft(std::string_view text) {
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    const auto a = static_cast<unsigned char>(text[i]);
    const auto b = static_cast<unsigned char>(text[i + 1]);
    if ((a >= 0xD7 && a <= 0xDF) || (a == 0xD6 && b >= 0x90) ||
        (a == 0xE0 && b >= 0xA0 && b <= 0xA3))
      return true;
    if (a == 0xEF && b >= 0xAC && b <= 0xBB) return true;
    if (a == 0xF0 && (b == 0x90 || b == 0x9E)) return true;
  }
  return false;
}

}  // namespace

Words::Words(std::string_view book) : texts_(English(book)), english_(&English(book)) {}

Words::Words() : Words(kPage) {}

std::vector<std::string> Words::Languages() {
  std::vector<std::string> names;
  for (const auto& built_in : internal::AllBuiltInWords()) {
    if (built_in.book == kPage) names.emplace_back(built_in.language);
  }
  return names;
}

Words Words::BuiltIn(std::string_view language) {
  const std::string_view text = TextOf(kPage, language);
  if (text.empty()) FailLanguage(language, ", or give your own words with --words FILE");
  return Parse(text, std::string(language) + ".ini");
}

const Words& Words::Report(std::string_view language) {
  static const std::map<std::string, Words, std::less<>> all = [] {
    std::map<std::string, Words, std::less<>> made;
    for (const std::string& name : Languages()) {
      Words words(kReport);
      words.texts_ = ReadCatalogue(TextOf(kReport, name), name + ".ini", English(kReport));
      made.emplace(name, std::move(words));
    }
    return made;
  }();
  const auto found = all.find(language);
  if (found == all.end()) FailLanguage(language, "");
  return found->second;
}

Words Words::Parse(std::string_view text, const std::string& name) {
  Words words;
  words.texts_ = ReadCatalogue(text, name, English(kPage));
  return words;
}

std::string Words::Get(std::string_view key) const {
  if (const auto own = texts_.find(key); own != texts_.end()) return own->second;
  const auto standard = english_->find(key);
  // A key that no catalogue has shows itself rather than nothing.
  const std::string text = standard == english_->end() ? std::string(key) : standard->second;
  return text + std::string(kFallbackSign);
}

bool Words::Has(std::string_view key) const { return english_->contains(key); }

std::vector<std::string> Words::Names(std::string_view key) const {
  return NamesIn(Get(key)).value_or(std::vector<std::string>());
}

std::string Words::Fill(std::string_view key, const Values& values) const {
  const std::string text = Get(key);
  const bool right_to_left = HasRightToLeft(text);
  std::string filled;
  for (std::size_t pos = 0; pos < text.size();) {
    const std::size_t open = std::min(text.find('{', pos), text.size());
    filled.append(text, pos, open - pos);
    if (open == text.size()) break;
    const std::size_t close = std::min(text.find('}', open), text.size() - 1);
    const std::string_view name = std::string_view(text).substr(open + 1, close - open - 1);
    const auto value = std::find_if(
        values.begin(), values.end(), [&](const auto& pair) { return pair.first == name; });
    if (value == values.end()) {
      filled.append(text, open, close + 1 - open);
    } else if (right_to_left || HasRightToLeft(value->second)) {
      filled.append(kIsolate).append(value->second).append(kPopIsolate);
    } else {
      filled.append(value->second);
    }
    pos = close + 1;
  }
  return filled;
}

std::vector<std::string> Words::Missing() const {
  std::vector<std::string> keys;
  for (const auto& [key, text] : *english_) {
    if (!texts_.contains(key)) keys.push_back(key);
  }
  return keys;
}

std::vector<std::string> Words::Unknown() const {
  std::vector<std::string> keys;
  for (const auto& [key, text] : texts_) {
    if (!english_->contains(key)) keys.push_back(key);
  }
  return keys;
}

bool Words::RightToLeft() const { return HasRightToLeft(Get("heading.found")); }

}  // namespace ohmglow
