// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/record_words.h"

#include <cstdio>

#include "ohmglow/base/error.h"
#include "words/catalogues.h"

namespace ohmglow::record {

Words RecordWords(std::string_view language) {
  for (const auto& one : ohmglow::internal::AllBuiltInWords()) {
    if (one.book == "record" && one.language == language) {
      return Words::Parse(one.text, "record's words");
    }
  }
  throw OptionError("language '" + std::string(language) + "' is unknown to record");
}

std::string NumberText(const Words& words, const char* format, double value) {
  char text[64];
  std::snprintf(text, sizeof text, format, value);
  std::string number = text;
  if (const auto point = number.find('.'); point != std::string::npos) {
    number.replace(point, 1, words.Get("number.decimal"));
  }
  return number;
}

std::string WattText(const Words& words, double watts) {
  if (watts < 1e-3) return NumberText(words, "%.2g mW", 1e3 * watts);
  if (watts < 0.1) return NumberText(words, "%.1f mW", 1e3 * watts);
  if (watts < 1) return NumberText(words, "%.0f mW", 1e3 * watts);
  return NumberText(words, "%.2f W", watts);
}

}  // namespace ohmglow::record
