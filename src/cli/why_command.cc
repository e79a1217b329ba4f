// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/why_command.h"

#include <charconv>
#include <filesystem>
#include <iostream>
#include <optional>
#include <string>

#include "cli/language.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"

namespace ohmglow::cli {
namespace {

constexpr int kMostPlaces = 1000;

// The first place that is called so: after its lead contact, else after a part.
std::optional<std::size_t> RankOfName(const LocateResult& result, const std::string& name) {
  const std::string wanted = ToLower(name);
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    const auto& contact = result.candidates[i].contact;
    if (contact && ToLower(*contact) == wanted) return i + 1;
  }
  const auto called = [&](std::size_t part) -> std::optional<std::size_t> {
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
      const auto& parts = result.candidates[i].parts;
      if (part < parts.size() && ToLower(parts[part].ref) == wanted) return i + 1;
    }
    return std::nullopt;
  };
  // A place is named after its first part, sometimes after the second as well.
  const auto first = called(0);
  return first ? first : called(1);
}

// As the list has it.
std::string NameOf(const Candidate& candidate) {
  if (candidate.contact) return *candidate.contact;
  return candidate.parts.empty() ? std::string() : candidate.parts[0].ref;
}

std::size_t RankFrom(const LocateResult& result, const std::string& text) {
  int rank = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), rank);
  const bool whole = error == std::errc() && end == text.data() + text.size();
  if (whole && rank >= 1 && rank <= kMostPlaces) return static_cast<std::size_t>(rank);
  if (const auto named = RankOfName(result, text)) return *named;
  std::string names;
  for (const Candidate& candidate : result.candidates) {
    const std::string name = NameOf(candidate);
    if (!name.empty()) names += (names.empty() ? "" : ", ") + name;
  }
  throw OptionError(
      "the place is " + Quoted(text) + "; give its number in the list, from 1" +
      (names.empty() ? names : ", or the name of its part or lead contact: " + names));
}

ExitCode RunWhy(const Arguments& arguments) {
  const auto& places = arguments.Places(
      2,
      "a result folder and a place: its number, or the name of its part or lead contact; or the "
      "word advice");
  const std::filesystem::path file = std::filesystem::path(places[0]) / "result.json";
  const LocateResult result = FromJson(ReadTextFile(file), file.string());
  const Words& words = Words::Report(Language(arguments));
  if (places[1] == "advice") {
    std::cout << ToAdvice(result, words);
    return ExitCode::kDone;
  }
  const std::size_t place = RankFrom(result, places[1]);
  const std::size_t against = arguments.has("against") ? RankFrom(result, arguments.Text("against"))
                                                       : (place == 1 ? 2U : 1U);
  if (result.candidates.size() == 1 && !arguments.has("against")) {
    std::cout << ToWhy(result, place, words);
    return ExitCode::kDone;
  }
  std::cout << ToWhy(result, place, against, words);
  return ExitCode::kDone;
}

}  // namespace

Command WhyCommand() {
  return {
      {.name = "why",
       .does = "say what speaks for one place of a result against another",
       .usage = "  ohmglow why DIR PLACE [--against PLACE]\n  ohmglow why DIR advice\n",
       .about =
           "DIR is the folder that 'locate' wrote, PLACE a number in its list or the name of its\n"
           "part or lead contact. Each piece of evidence multiplies a place's confidence by a\n"
           "factor; the table shows them side by side, what parts the two places most first.\n"
           "The word advice in place of PLACE prints all advice, of which 'locate' prints a "
           "part.\n",
       .options = {{"against",
                    "PLACE",
                    "the place it is set against; by default the first, for the first the second"},
                   LanguageOption()},
       .numbers = false},
      RunWhy};
}

}  // namespace ohmglow::cli
