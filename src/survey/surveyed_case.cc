// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "input/case_keys.h"
#include "input/ini_file.h"
#include "input/load_case.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/survey.h"
#include "ohmglow/words/say_clauses.h"
#include "survey/found_file.h"

namespace ohmglow {
namespace {

constexpr std::array<std::string_view, 5> kSections{"", "frames", "supply", "board", "surface"};
constexpr std::size_t kMostColumns = 100;

std::string SectionOf(std::string_view key) {
  const std::size_t dot = key.find('.');
  return std::string(dot == std::string_view::npos ? "" : key.substr(0, dot));
}

std::string KeyOf(std::string_view key) {
  const std::size_t dot = key.find('.');
  return std::string(dot == std::string_view::npos ? key : key.substr(dot + 1));
}

// A value that a comment sign or a blank at its end would cut. A quote, which none can
// hold, stands in no name of a file here, see SurveyFolder().
std::string Written(std::string value) {
  // What follows a line break would be read as keys.
  value = OneLine(std::move(value));
  std::replace(value.begin(), value.end(), '"', '\'');
  const bool plain = value.find_first_of(";#") == std::string::npos && Trim(value) == value;
  return plain ? value : std::string("\"").append(value).append("\"");
}

// "; text", broken at blanks.
std::string Comment(const std::string& said) {
  const std::string text = OneLine(said);
  std::string out = ";";
  std::size_t column = 1;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    if (column > 1 && column + 1 + (end - at) > kMostColumns) {
      out += "\n;";
      column = 1;
    }
    out.append(" ").append(text, at, end - at);
    column += 1 + (end - at);
    at = end + 1;
  }
  return out + "\n";
}

// Keys whose values are a number or a word: without their units and reasons they can be set so.
constexpr std::array<std::string_view, 16> kPlain{"frames.shrink",
                                                  "frames.scale",
                                                  "frames.zero",
                                                  "frames.rate_hz",
                                                  "supply.clock_offset_s",
                                                  "supply.levels_within_s",
                                                  "board.side",
                                                  "board.mm_per_pixel",
                                                  "board.thickness_mm",
                                                  "board.sheet_conductance_w_k",
                                                  "board.heat_capacity_j_m2k",
                                                  "surface.emissivity",
                                                  "surface.reflected_c",
                                                  "surface.window_c",
                                                  "surface.film_w_m2k",
                                                  "frames.unit"};

// What a case file could say to the same end; empty where none of its keys can.
std::string PlainValue(std::string_view key, const std::string& value) {
  if (key == "board.parts_columns") return value;
  if (std::find(kPlain.begin(), kPlain.end(), key) == kPlain.end()) return {};
  // Degrees of a named unit; a frame unit of another name has no word of its own.
  if (value.starts_with("degrees Celsius") && key == "frames.unit") return "celsius";
  if (value.starts_with("degrees Fahrenheit") && key == "frames.unit") return "fahrenheit";
  const std::string word = value.substr(0, value.find(' '));
  const bool is_word = word == "auto" || word == "top" || word == "kelvin" || word == "relative";
  return is_word || ParseNumber(word) ? word : std::string();
}

// "board.side = top" as a line that says what holds without it; one that can be set stands below
// its reason, ready to be uncommented.
std::string AssumedLine(const Assumption& assumed, std::set<std::string>& keys) {
  const std::string value = ValueText(assumed);
  const std::string plain = PlainValue(assumed.key, value);
  if (plain.empty() || !keys.insert(assumed.key).second) {
    return Comment("Taken for granted: " + KeyOf(assumed.key) + " is " + value);
  }
  const std::string why = plain == value ? std::string() : ": " + value;
  return Comment("Taken for granted" + why + ". Remove the ; below to change it.") + "; " +
         KeyOf(assumed.key) + " = " + Written(plain) + "\n";
}

std::string Settings(const FolderSurvey& survey) {
  std::string text;
  for (const Setting& setting : survey.settings) {
    const std::string section = SectionOf(setting.key);
    if (!section.empty()) text += "[" + section + "]\n";
    text += KeyOf(setting.key) + " = " + Written(setting.value) + "\n";
  }
  return text;
}

IniFile Completed(const FolderSurvey& survey) {
  // The user's own lines first: their numbers stand in messages.
  if (!survey.case_file.empty()) {
    return {survey.case_file, ReadTextFile(survey.case_file) + "\n" + Settings(survey), CaseKeys()};
  }
  return {survey.folder, Settings(survey), CaseKeys()};
}

void RequireAnswers(const FolderSurvey& survey) {
  for (const SurveyQuestion& question : survey.questions) {
    if (question.needed) throw InputError(survey.folder.string() + ": " + question.text);
  }
}

}  // namespace

Case LoadSurveyed(const FolderSurvey& survey) {
  RequireAnswers(survey);
  std::set<std::string> spare;
  for (const Setting& setting : survey.settings) {
    if (setting.why.key != kAskedFor) spare.insert(setting.key);
  }
  Case job = ReadCase(Completed(survey), survey.folder, spare);
  std::vector<Assumption> found;
  for (const Setting& setting : survey.settings) {
    if (setting.key == "title" || setting.why.key == kAskedFor) continue;
    found.push_back({setting.key,
                     setting.value,
                     AssumedHow::kInFolder,
                     "found in the folder: " + SayClauses({setting.why})});
  }
  for (const SurveyQuestion& question : survey.questions) {
    found.push_back({question.key, "none", AssumedHow::kNotUsed, question.text});
  }
  for (const Setting& aside : survey.set_aside) {
    if (aside.key.empty()) continue;
    found.push_back({aside.key,
                     "none",
                     AssumedHow::kSetAside,
                     aside.value + " in the folder is " + SayClauses({aside.why})});
  }
  job.assumed.insert(job.assumed.begin(), found.begin(), found.end());
  return job;
}

std::vector<NamedFiles> ListSurveyedFiles(const FolderSurvey& survey) {
  RequireAnswers(survey);
  return ListNamedFiles(Completed(survey), survey.folder);
}

std::string ToCaseFile(const FolderSurvey& survey, const std::vector<Assumption>& assumed) {
  std::string text = Comment(
      "A capture for ohmglow: what was found in this folder, and why. Look it over. Lines that "
      "begin "
      "with a ; say nothing to the program.");
  std::set<std::string> keys;
  for (const Setting& setting : survey.settings) keys.insert(setting.key);
  for (const std::string_view section : kSections) {
    std::string lines;
    for (const Setting& setting : survey.settings) {
      if (SectionOf(setting.key) != section) continue;
      lines += Comment(SayClauses({setting.why})) + KeyOf(setting.key) + " = " +
               Written(setting.value) + "\n";
    }
    for (const SurveyQuestion& question : survey.questions) {
      if (SectionOf(question.key) != section) continue;
      lines += Comment("OPEN: " + question.text);
      if (question.answers.empty()) lines += "; " + KeyOf(question.key) + " =\n";
      for (const Setting& answer : question.answers) {
        if (!answer.why.key.empty()) lines += Comment(SayClauses({answer.why}));
        lines += "; " + KeyOf(answer.key) + " = " + answer.value + "\n";
      }
    }
    for (const Assumption& one : assumed) {
      if (SectionOf(one.key) == section) lines += AssumedLine(one, keys);
    }
    if (lines.empty()) continue;
    text += "\n";
    if (!section.empty()) (text += "[").append(section).append("]\n");
    text += lines;
  }
  return text;
}

}  // namespace ohmglow
