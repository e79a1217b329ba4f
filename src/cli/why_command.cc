// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/why_command.h"

#include <charconv>
#include <filesystem>
#include <iostream>
#include <string>

#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"

namespace ohmglow::cli {
namespace {

constexpr int kMostPlaces = 1000;

std::size_t RankFrom(const std::string& text) {
  int rank = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), rank);
  if (error != std::errc() || end != text.data() + text.size() || rank < 1 || rank > kMostPlaces) {
    throw OptionError("the place is " + Quoted(text) + "; give its number in the list, from 1");
  }
  return static_cast<std::size_t>(rank);
}

ExitCode RunWhy(const Arguments& arguments) {
  const auto& places = arguments.Places(2, "a result folder and the number of a place");
  const std::filesystem::path file = std::filesystem::path(places[0]) / "result.json";
  const std::size_t place = RankFrom(places[1]);
  const int fallback = place == 1 ? 2 : 1;
  const int against = arguments.Whole("against", 1, kMostPlaces, fallback);
  const LocateResult result = FromJson(ReadTextFile(file), file.string());
  if (result.candidates.size() == 1 && !arguments.has("against")) {
    std::cout << ToWhy(result, place);
    return ExitCode::kDone;
  }
  std::cout << ToWhy(result, place, static_cast<std::size_t>(against));
  return ExitCode::kDone;
}

}  // namespace

Command WhyCommand() {
  return {
      {.name = "why",
       .does = "say what speaks for one place of a result against another",
       .usage = "  ohmglow why DIR PLACE [--against PLACE]\n",
       .about =
           "DIR is the folder that 'locate' wrote, PLACE a number in its list. Each piece of\n"
           "evidence multiplies a place's confidence by a factor; the table shows them side by\n"
           "side, what parts the two places most first.\n",
       .options = {{"against",
                    "PLACE",
                    "the place it is set against; by default the first, for the first the second"}},
       .numbers = false},
      RunWhy};
}

}  // namespace ohmglow::cli
