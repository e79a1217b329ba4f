// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/loose_table.h"

#include <gtest/gtest.h>

#include "expect_error.h"
#include "input/loose_number.h"
#include "input/text_encoding.h"
#include "input/unit_words.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using testing::ExpectError;
using Cells = std::vector<std::string>;

bool KnowsTimeAndAmps(std::string_view cell) {
  const HeaderCell header = ReadHeaderCell(cell);
  for (const std::string& word : header.words) {
    if (word == "time" || word == "zeit" || word == "strom" || word == "current") return true;
  }
  return false;
}

LooseTable Read(std::string_view bytes, LooseOptions options = {}) {
  options.knows = &KnowsTimeAndAmps;
  options.delimiter_key = "supply.delimiter";
  options.decimal_key = "supply.decimal";
  return ReadLooseTable(bytes, "t.csv", options);
}

TEST(LooseTable, TellsDelimiterAndDecimalSign) {
  struct Form {
    const char* text;
    char delimiter;
    char decimal;
  };
  for (const Form& form :
       {Form{"time,current\n0,0.5\n1,0.25\n", ',', '.'},
        Form{"Zeit;Strom\n0,0;0,5\n1,0;0,25\n", ';', ','},
        Form{"time;current\n0;0.5\n1;0.25\n", ';', '.'},
        Form{"time\tcurrent\r\n0\t0,5\r\n1\t0,25\r\n", '\t', ','},
        Form{"time | current\n0 | 0.5\n1 | 0.25\n", '|', '.'},
        Form{"  time (s)   current (A)\n  0  0,5\n 1 0,25\n", ' ', ','},
        Form{"sep=;\ntime;current\n0;0,5\n1;0,25\n", ';', ','},
        Form{"\"time\",\"current\"\n\"0\",\"0,5\"\n\"1\",\"0,25\"\n", ',', ','}}) {
    const LooseTable table = Read(form.text);
    EXPECT_EQ(table.delimiter, form.delimiter) << form.text;
    ASSERT_EQ(table.rows.size(), 2U) << form.text;
    ASSERT_EQ(table.columns(), 2U) << form.text;
    EXPECT_EQ(table.Decimal(1), form.decimal) << form.text;
    EXPECT_EQ(LooseNumber(table.Cell(0, 1), table.Decimal(1)), 0.5) << form.text;
    EXPECT_EQ(LooseNumber(table.Cell(1, 1), table.Decimal(1)), 0.25) << form.text;
  }
}

TEST(LooseTable, FindsTheHeaderBelowOtherLinesAndItsUnits) {
  const LooseTable table = Read(
      "Bench log, made by hand\nStarted: 2026-03-01; output on\n\n"
      "Time;Current\n[s];[mA]\n0;100\n1;200\n\nTime;Current\n2;300\n");
  EXPECT_EQ(table.header, (Cells{"Time", "Current"}));
  EXPECT_EQ(table.header_line, 4);
  EXPECT_EQ(table.lines_above, 3);
  EXPECT_EQ(table.units, (Cells{"[s]", "[mA]"}));
  ASSERT_EQ(table.rows.size(), 3U);
  EXPECT_EQ(table.rows[0].line, 6);
  EXPECT_EQ(table.rows[2].line, 10);
  EXPECT_EQ(table.header_again, (std::vector<int>{9}));
  EXPECT_EQ(table.Where(2, 1), "t.csv, row 10, column Current");
}

TEST(LooseTable, TakesAHeaderItDoesNotKnowFromTheNumbersBelow) {
  const LooseTable table = Read("made today\nalpha;beta\n1;2\n3;4\n");
  EXPECT_EQ(table.header, (Cells{"alpha", "beta"}));
  const LooseTable none = Read("1;2\n3;4\n");
  EXPECT_TRUE(none.header.empty());
  EXPECT_EQ(none.rows.size(), 2U);
  EXPECT_EQ(none.ColumnName(1), "2");
}

TEST(LooseTable, KeepsShortRowsQuotesAndComments) {
  const LooseTable table =
      Read("# time,current,note\n0,1,\"a, b\"\n# pause\n1,2\n2,3,3.5\" disk\n");
  EXPECT_EQ(table.header, (Cells{"time", "current", "note"}));
  ASSERT_EQ(table.rows.size(), 3U);
  EXPECT_EQ(table.Cell(0, 2), "a, b");
  EXPECT_EQ(table.Cell(1, 2), "");
  EXPECT_EQ(table.Cell(2, 2), "3.5\" disk");
}

TEST(LooseTable, JoinsDateAndTimeOfDayPartedByABlank) {
  const LooseTable table = Read("time current\n2026-03-01 12:00:00 0.5\n2026-03-01 12:00:01 0.6\n");
  ASSERT_EQ(table.rows.size(), 2U);
  EXPECT_EQ(table.Cell(0, 0), "2026-03-01 12:00:00");
  EXPECT_EQ(table.Cell(1, 1), "0.6");
}

TEST(LooseTable, AsksWhereTwoReadingsAreEquallyGood) {
  ExpectError<InputError>([] { (void)Read("1 234,5 678\n2 345,6 789\n"); },
                          {"t.csv, row 2: can be parted at each comma ('2 345 | 6 789') or at each "
                           "blank ('2 | 345,6 | 789'); say supply.delimiter = comma or blank"});
  EXPECT_EQ(Read("1 234,5 678\n2 345,6 789\n", {.delimiter = ','}).Cell(1, 1), "6 789");
  const LooseTable open = Read("time;current\n1;1,250\n2;2,500\n");
  ExpectError<InputError>(
      [&] { (void)open.Decimal(1); },
      {"t.csv, row 2, column current: '1,250' can be read with a decimal comma (1.25) or with "
       "thousands (1250); say supply.decimal = comma or point"});
  // Any other number of the table that shows the sign decides.
  EXPECT_EQ(Read("time;current\n1;1,250\n2;0,500\n").Decimal(1), ',');
  EXPECT_EQ(Read("time;current\n0,5;1,250\n1,0;2,500\n").Decimal(1), ',');
  EXPECT_EQ(Read("time;current\n0.5;1,250\n1.0;2,500\n").Decimal(1), '.');
  EXPECT_EQ(Read("time;current\n1;1,250\n2;2,500\n", {.decimal = '.'}).Decimal(1), '.');
}

// A header with blanks over cells without any: the tabs part it.
TEST(LooseTable, LetsTabsGoBeforeBlanks) {
  const LooseTable table = Read("Time of day\tOutput current\n1\t0.5\n2\t0.25\n");
  EXPECT_EQ(table.delimiter, '\t');
  EXPECT_EQ(table.header, (Cells{"Time of day", "Output current"}));
}

TEST(LooseTable, RefusesWhatIsNoTable) {
  ExpectError<InputError>([] { (void)Read(""); },
                          {"t.csv: is empty; it needs a header row and data rows"});
  ExpectError<InputError>([] { (void)Read(" \r\n\t\n"); }, {"t.csv: is empty"});
  ExpectError<InputError>([] { (void)Read("hello\nworld\n"); },
                          {"t.csv: is no table: no comma, semicolon, tab, bar or blank parts"});
  ExpectError<InputError>([] { (void)Read(std::string_view("\0\1\2\3 \0,\0", 8)); },
                          {"t.csv: is not a text file"});
}

// The same table in the encodings that the Unicode standard and the code pages define.
TEST(LooseTable, ReadsEncodings) {
  const std::string utf16le("\xFF\xFEt\0i\0m\0e\0;\0\xB5\0A\0\n\0001\0;\0002\0\n\0", 26);
  EXPECT_EQ(Read(utf16le).encoding, "UTF-16LE");
  EXPECT_EQ(Read(utf16le).header,
            (Cells{"time",
                   "\xC2\xB5"
                   "A"}));
  const std::string utf16be("\0t\0i\0m\0e\0;\0A\0\n\0001\0;\0002\0\n", 22);
  EXPECT_EQ(Read(utf16be).encoding, "UTF-16BE");
  EXPECT_EQ(Read("\xEF\xBB\xBFtime;A\n1;2\n").header[0], "time");
  EXPECT_EQ(Read("time;\xB5"
                 "A\n1;2\n")
                .encoding,
            "WINDOWS-1252");
  // Cut off within the last character.
  EXPECT_EQ(Read("time;A\n1;2\n\xC2").encoding, "UTF-8");
}

TEST(LooseNumber, ReadsSignsOfManyLanguages) {
  struct Written {
    const char* text;
    char decimal;
    double value;
  };
  for (const Written& one : {Written{"1.5", ',', 1.5},
                             Written{"1,5", '.', 1.5},
                             Written{"-0,125", '.', -0.125},
                             Written{",5", '.', 0.5},
                             Written{"5.", '.', 5},
                             Written{"1.234,5", '.', 1234.5},
                             Written{"1,234.5", ',', 1234.5},
                             Written{"1,234,567", ',', 1234567},
                             Written{"1 234,5", '.', 1234.5},
                             Written{"1\xC2\xA0"
                                     "234,5",
                                     '.',
                                     1234.5},
                             Written{"1'234.5", '.', 1234.5},
                             Written{"\xE2\x88\x92"
                                     "2,5",
                                     '.',
                                     -2.5},
                             Written{"1,5E-03", '.', 0.0015},
                             Written{"1,234", ',', 1.234},
                             Written{"1,234", '.', 1234}}) {
    const auto value = LooseNumber(one.text, one.decimal);
    ASSERT_TRUE(value) << one.text;
    EXPECT_DOUBLE_EQ(*value, one.value) << one.text;
  }
  for (const char* bad : {"",
                          "abc",
                          "1,2,3",
                          "12:00",
                          "1.2.3",
                          "1 2",
                          "--1",
                          "1,5,",
                          "nan",
                          "inf",
                          "1e999",
                          "0x10",
                          "5 A"}) {
    EXPECT_FALSE(LooseNumber(bad, '.')) << bad;
    EXPECT_FALSE(LooseNumber(bad, ',')) << bad;
  }
}

TEST(Words, TakesHeadersApart) {
  struct Header {
    const char* text;
    Cells words;
    const char* unit;
  };
  for (const Header& one : {Header{"Output Current (mA)", {"output", "current"}, "mA"},
                            Header{"Ausgangsstrom / mA", {"ausgangsstrom"}, "mA"},
                            Header{"Napi\xC4\x99"
                                   "cie [V]",
                                   {"napiecie"},
                                   "V"},
                            Header{"OutputVoltage", {"output", "voltage"}, ""},
                            Header{"CH1_Volt_mV", {"ch", "1", "volt"}, "mV"},
                            Header{"Current \xC2\xB5"
                                   "A",
                                   {"current"},
                                   "uA"},
                            Header{"Center-X(mil)", {"center", "x"}, "mil"},
                            Header{"\xE9\x9B\xBB\xE6\xB5\x81\xEF\xBC\x88"
                                   "mA\xEF\xBC\x89",
                                   {"\xE9\x9B\xBB\xE6\xB5\x81"},
                                   "mA"}}) {
    const HeaderCell cell = ReadHeaderCell(one.text);
    EXPECT_EQ(cell.words, one.words) << one.text;
    EXPECT_EQ(cell.unit ? cell.unit->name : "", one.unit) << one.text;
  }
  // An inch is 25.4 mm exactly, a mil a thousandth of it.
  EXPECT_DOUBLE_EQ(ParseUnit("mils")->factor * 1000, ParseUnit("inch")->factor);
  EXPECT_EQ(Fold("\xC4\x8C"
                 "as \xC3\x84\xC3\x96\xC3\x9C\xC3\x9F"),
            "cas aouss");
}

}  // namespace
}  // namespace ohmglow
