// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/language.h"

#include <algorithm>
#include <cstdlib>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/words/words.h"

namespace ohmglow::cli {
namespace {

constexpr const char* kEnglish = "en";

bool Known(const std::string& language) {
  const std::vector<std::string> all = Words::Languages();
  return std::find(all.begin(), all.end(), language) != all.end();
}

// "de_AT.UTF-8" is "de".
std::string OfLocale() {
  for (const char* name : {"LC_ALL", "LC_MESSAGES", "LANG"}) {
    const char* const value = std::getenv(name);
    if (value == nullptr || *value == '\0') continue;
    const std::string locale = value;
    const std::string language = locale.substr(0, locale.find_first_of("_.@"));
    return Known(language) ? language : kEnglish;
  }
  return kEnglish;
}

}  // namespace

TextOption LanguageOption() {
  return {"language", "en|de", "language of what is said; default: that of the locale, or en"};
}

std::string Language(const Arguments& arguments) {
  if (!arguments.has("language")) return OfLocale();
  const std::string wanted = arguments.Text("language");
  if (Known(wanted)) return wanted;
  std::string known;
  for (const std::string& one : Words::Languages()) {
    known.append(known.empty() ? "" : ", ").append(one);
  }
  throw OptionError("--language '" + wanted + "' is unknown; there are " + known);
}

}  // namespace ohmglow::cli
