// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/assumption.h"

#include <algorithm>
#include <array>
#include <cstddef>

namespace ohmglow {
namespace {

// In the order of AssumedHow.
constexpr std::array<std::string_view, 6> kHow{
    "default", "guess", "parts_list", "in_folder", "not_used", "set_aside"};

}  // namespace

std::string ValueText(const Assumption& one) {
  return one.note.empty() ? one.value : one.value + " (" + one.note + ")";
}

std::string ToText(const Assumption& one) {
  const std::string text = one.key + " = " + ValueText(one);
  return one.whose.empty() ? text : one.whose + ": " + text;
}

std::vector<std::string> ToTexts(const std::vector<Assumption>& all) {
  std::vector<std::string> texts;
  for (const Assumption& one : all) texts.push_back(ToText(one));
  return texts;
}

const Assumption* FindAssumed(const std::vector<Assumption>& all, std::string_view key) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Assumption& one) {
    return one.whose.empty() && one.key == key;
  });
  return found == all.end() ? nullptr : &*found;
}

std::string_view NameOf(AssumedHow how) { return kHow[static_cast<std::size_t>(how)]; }

std::optional<AssumedHow> ParseAssumedHow(std::string_view name) {
  const auto found = std::find(kHow.begin(), kHow.end(), name);
  if (found == kHow.end()) return std::nullopt;
  return static_cast<AssumedHow>(found - kHow.begin());
}

}  // namespace ohmglow
