// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/carriers.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <string>
#include <string_view>

namespace ohmglow {
namespace {

constexpr std::array<std::string_view, 6> kKinds = {
    "inductor", "coil", "choke", "ferrite", "fuse", "connector"};
constexpr std::array<std::string_view, 8> kLetters = {"l", "fb", "f", "j", "p", "x", "cn", "con"};

std::string Lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

}  // namespace

bool CarriesCurrent(const Part& part) {
  const auto is_letters = [](const std::string& text) {
    return std::find(kLetters.begin(), kLetters.end(), text) != kLetters.end();
  };
  const std::string kind = Lower(part.kind);
  if (!kind.empty()) {
    return is_letters(kind) ||
           std::any_of(kKinds.begin(), kKinds.end(), [&](std::string_view word) {
             return kind.find(word) != std::string::npos;
           });
  }
  const std::string ref = Lower(part.ref);
  const auto digits =
      std::find_if(ref.begin(), ref.end(), [](unsigned char c) { return std::isalpha(c) == 0; });
  return is_letters({ref.begin(), digits});
}

double CarrierProb(const std::vector<Part>& parts, const PartsThere& there) {
  double prob = 0;
  for (const PartMatch& match : there.parts) {
    const auto part = std::find_if(
        parts.begin(), parts.end(), [&](const Part& one) { return one.ref == match.ref; });
    if (part != parts.end() && CarriesCurrent(*part)) prob += match.prob;
  }
  return std::min(prob, 1.0);
}

}  // namespace ohmglow
