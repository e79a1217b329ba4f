// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/language.h"

#include <gtest/gtest.h>
#include <stdlib.h>

#include <string>
#include <vector>

#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

std::string With(const std::vector<std::string>& given,
                 const char* all,
                 const char* messages,
                 const char* lang) {
  const auto set = [](const char* name, const char* value) {
    value == nullptr ? unsetenv(name) : setenv(name, value, 1);
  };
  set("LC_ALL", all);
  set("LC_MESSAGES", messages);
  set("LANG", lang);
  const Syntax syntax{"try", "", "", "", {LanguageOption()}, false};
  return Language(Arguments(syntax, given));
}

// The order is that of POSIX.1-2017, Base Definitions 8.2.
TEST(Language, IsThatOfTheLocaleOrTheOption) {
  EXPECT_EQ(With({}, nullptr, nullptr, nullptr), "en");
  EXPECT_EQ(With({}, nullptr, nullptr, "de_DE.UTF-8"), "de");
  EXPECT_EQ(With({}, nullptr, "C", "de_DE.UTF-8"), "en");
  EXPECT_EQ(With({}, "de", "C", "C"), "de");
  EXPECT_EQ(With({}, "", "de@euro", "C"), "de");
  EXPECT_EQ(With({}, "POSIX", "de", "de"), "en");
  EXPECT_EQ(With({}, nullptr, nullptr, "xx_YY.UTF-8"), "en");
  EXPECT_EQ(With({"--language", "en"}, "de_DE", nullptr, nullptr), "en");
  EXPECT_EQ(With({"--language=de"}, nullptr, nullptr, nullptr), "de");
}

TEST(Language, OneThatThereIsNotIsSaidWithThoseThatThereAre) {
  try {
    (void)With({"--language", "german"}, nullptr, nullptr, nullptr);
    FAIL();
  } catch (const OptionError& error) {
    EXPECT_EQ(std::string(error.what()), "--language 'german' is unknown; there are en, de");
  }
}

}  // namespace
}  // namespace ohmglow::cli
