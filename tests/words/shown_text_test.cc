// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "words/shown_text.h"

#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <string>
#include <vector>

namespace ohmglow::internal {
namespace {

using namespace std::string_literals;

TEST(CleanText, RemovesControlAndDirectionCharacters) {
  EXPECT_EQ(CleanText("a\0b\x1b[31m\x7f"s, 99), "ab[31m");
  EXPECT_EQ(CleanText("C1\u202E\u2066\u200B\uFEFF7", 99), "C17");
  EXPECT_EQ(CleanText(" a\r\n\tb  ", 99), "a b");
}

// Malformed sequences of RFC 3629, section 3: stray and missing continuation,
// overlong form, surrogate, beyond U+10FFFF.
TEST(CleanText, ReplacesWhatIsNotUtf8) {
  for (const std::string& bad :
       {"\x80"s, "\xC3"s, "\xC0\xAF"s, "\xED\xA0\x80"s, "\xF4\x90\x80\x80"s}) {
    const std::string clean = CleanText("x" + bad + "y", 99);
    EXPECT_EQ(clean.front(), 'x');
    EXPECT_EQ(clean.back(), 'y');
    EXPECT_NE(clean.find("\uFFFD"), std::string::npos);
    EXPECT_EQ(CleanText(clean, 99), clean);
  }
}

TEST(CleanText, CutsAtCodePointsWithAnEllipsis) {
  EXPECT_EQ(CleanText("\u00E4\u00F6\u00FC", 3), "\u00E4\u00F6\u00FC");
  EXPECT_EQ(CleanText("\u00E4\u00F6\u00FC\u00DF", 3), "\u00E4\u00F6\u2026");
  EXPECT_EQ(CleanText(std::string(5000, 'x'), 200).size(), 199 + "\u2026"s.size());
}

TEST(NumColumns, CountsWideAndCombiningCharacters) {
  EXPECT_EQ(NumColumns("abc"), 3);
  EXPECT_EQ(NumColumns("e\u0301"), 1);
  EXPECT_EQ(NumColumns("\u6C34\u4F4D"), 4);
  EXPECT_LE(NumColumns(CutToColumns("\u6C34\u4F4D\u8A08", 4)), 4);
}

TEST(WrapColumns, KeepsEveryWordAndEveryLimit) {
  const auto lines = WrapColumns("- one two three four", 10, 2);
  EXPECT_EQ(lines, (std::vector<std::string>{"- one two", "  three", "  four"}));
  for (const std::string& line : WrapColumns(std::string(300, 'x') + " y", 20, 2)) {
    EXPECT_LE(NumColumns(line), 20);
  }
}

TEST(FormatPower, PicksUnitAndTwoDigits) {
  EXPECT_EQ(FormatPower(0.5249), "520 mW");
  EXPECT_EQ(FormatPower(1.94), "1.9 W");
  EXPECT_EQ(FormatPower(0.0093), "9.3 mW");
  EXPECT_EQ(FormatPower(0.00008), "0.08 mW");
  EXPECT_EQ(FormatPower(0.000008), "8 \u00B5W");
  EXPECT_EQ(FormatPower(0.9996), "1 W");
  EXPECT_EQ(FormatPower(0), "0 mW");
  EXPECT_EQ(FormatPowerRange(0.52, 0.43, 1.26), "520 mW (430 to 1300)");
  EXPECT_EQ(FormatPowerRange(0.52, 0.43, 0.43), "520 mW");
}

TEST(FormatDigits, WritesPlainNumbersInAnyLocale) {
  EXPECT_EQ(FormatDigits(0.1 + 0.2, 6), "0.3");
  EXPECT_EQ(FormatDigits(123456, 2), "120000");
  EXPECT_EQ(FormatDigits(-0.0, 2), "0");
  const bool changed = std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr;
  EXPECT_EQ(FormatDigits(1.5, 2), "1.5") << "locale changed: " << changed;
  std::setlocale(LC_ALL, "C");
}

}  // namespace
}  // namespace ohmglow::internal
