// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "batch/csv_cell.h"
#include "batch/html_text.h"

namespace ohmglow::batch {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

// Source: OWASP, "CSV Injection" (owasp.org community page): cells that begin
// with = + - @ tab or carriage return, and their wide forms, are dangerous.
TEST(CsvCell, NeutralisesFormulas) {
  EXPECT_EQ(CsvCell("=1+1"), "'=1+1");
  EXPECT_EQ(CsvCell("+cmd|' /C calc'!A0"), "'+cmd|' /C calc'!A0");
  EXPECT_EQ(CsvCell("-2+3"), "'-2+3");
  EXPECT_EQ(CsvCell("@SUM(A1)"), "'@SUM(A1)");
  EXPECT_EQ(CsvCell("\t=1"), "'=1");
  EXPECT_EQ(CsvCell("\r=1"), "'=1");
  EXPECT_EQ(CsvCell(" \n =1"), "'=1");
  EXPECT_EQ(CsvCell("\u200B=1"), "'=1") << "an invisible character before it";
  EXPECT_EQ(CsvCell("\uFF1D1+1"), "'\uFF1D1+1");
}

TEST(CsvCell, NeutralisesWhatAnotherSeparatorWouldMakeACell) {
  EXPECT_EQ(CsvCell("a;=1"), "\"a;'=1\"");
  EXPECT_EQ(CsvCell("a, @x"), "\"a, '@x\"");
  EXPECT_EQ(CsvCell("\"=1"), "\"\"\"'=1\"");
}

TEST(CsvCell, LeavesNumbersAndPlainTextAlone) {
  EXPECT_EQ(CsvCell("-5.25e-3"), "-5.25e-3");
  EXPECT_EQ(CsvCell("+3"), "+3");
  EXPECT_EQ(CsvCell("12 V rail - main"), "12 V rail - main");
  EXPECT_EQ(CsvCell("a=b"), "a=b");
  EXPECT_EQ(CsvCell(""), "");
}

// RFC 4180, section 2, rules 5 to 7.
TEST(CsvCell, QuotesAsTheStandardSays) {
  EXPECT_EQ(CsvCell("a,b"), "\"a,b\"");
  EXPECT_EQ(CsvCell("3.3\" panel"), "\"3.3\"\" panel\"");
  EXPECT_EQ(CsvCell("two\nlines"), "two lines");
}

TEST(CsvCell, CutsHugeText) {
  EXPECT_LE(CsvCell(std::string(1'000'000, 'x')).size(), 510U);
  // Each character costs most where it is doubled.
  EXPECT_LE(CsvCell(std::string(1'000'000, '"')).size(), 1010U);
}

TEST(HtmlText, EscapesMarkup) {
  EXPECT_EQ(HtmlText("<script>alert(1)</script>"), "&lt;script&gt;alert(1)&lt;/script&gt;");
  EXPECT_EQ(HtmlText("\" onload='x'"), "&quot; onload=&#39;x&#39;");
  EXPECT_EQ(HtmlText("R&D &lt;"), "R&amp;D &amp;lt;");
  EXPECT_EQ(HtmlText("a\u202Eb\x01"), "ab");
  EXPECT_EQ(HtmlText("\u0627\u0644 \u00B5\u03A9"), "\u0627\u0644 \u00B5\u03A9");
}

TEST(HtmlText, CutsHugeText) { EXPECT_LE(HtmlText(std::string(1'000'000, '<')).size(), 4U * 200); }

TEST(HtmlLink, StaysRelativeAndInsideItsAttribute) {
  EXPECT_EQ(HtmlLink("mon/f 1/overlay.png"), "./mon/f%201/overlay.png");
  EXPECT_EQ(HtmlLink("javascript:alert(1)"), "./javascript%3Aalert%281%29");
  EXPECT_EQ(HtmlLink("//host/x"), ".///host/x");
  EXPECT_EQ(HtmlLink("50%#?"), "./50%25%23%3F");
  EXPECT_THAT(HtmlLink("a\"><b'"), Not(HasSubstr("\"")));
  EXPECT_EQ(HtmlLink("\u00B5"), "./%C2%B5");
}

}  // namespace
}  // namespace ohmglow::batch
