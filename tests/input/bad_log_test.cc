// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "input/supply_log.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

struct BadLog {
  std::string text;
  std::string message;
};

class BadLogFile : public ::testing::TestWithParam<BadLog> {};

TEST_P(BadLogFile, IsRefusedWithItsMessage) {
  try {
    (void)ParseSupplyLog(GetParam().text, "log.csv", {});
    ADD_FAILURE() << "read: " << GetParam().text;
  } catch (const InputError& error) {
    EXPECT_EQ(std::string(error.what()), "log.csv" + GetParam().message) << GetParam().text;
  }
}

// Logs that nothing can be made of, or several things; each with its whole message.
INSTANTIATE_TEST_SUITE_P(
    All,
    BadLogFile,
    ::testing::Values(
        BadLog{"", ": is empty; it needs a header row and data rows"},
        BadLog{"time_s,Set current (A),Output\n0,1,off\n1,1,tripped\n",
               ", row 3, column Output: 'tripped' says neither that the output is on nor that it "
               "is off; write on or off"},
        BadLog{"\n\n  \n", ": is empty; it needs a header row and data rows"},
        BadLog{std::string("\x89PNG\0\0\0\1", 8),
               ": is not a text file; what is wanted here is a table in plain text"},
        BadLog{
            "nothing\nhere\n",
            ": is no table: no comma, semicolon, tab, bar or blank parts its lines into columns; "
            "save it as CSV"},
        BadLog{"0,12,0.5\n1,12,0.5\n",
               ", row 1: there is no header above these 3 columns; say what they are, such as "
               "supply.columns = time=1, volts=2, amps=3"},
        BadLog{"x,y\n1,2\n2,3\n",
               ", row 1: column amps is missing; the header has x, y; if one of them is the "
               "current, say so, such as supply.columns = time=1, amps=2"},
        BadLog{"volts,amps\n1,2\n2,3\n",
               ", row 1: column time_s is missing; the header has volts, amps; say which is the "
               "time, such as supply.columns = time=1, amps=2, or, for rows of equal distance, "
               "supply.rate_hz = 2"},
        BadLog{
            "time_s,CH1 Current,CH2 Current\n0,1,2\n1,1,2\n",
            ", row 1: several columns may be the amps: CH1 Current, CH2 Current; say which, such "
            "as supply.columns = time=time_s, amps=CH1 Current"},
        BadLog{"time_s,U1 (V),I1 (A),U2 (V),I2 (A)\n0,1,2,3,4\n1,1,2,3,4\n",
               ", row 1: several columns may be the amps: I1 (A), I2 (A); say which, such as "
               "supply.columns = time=time_s, volts=U1 (V), amps=I1 (A)"},
        BadLog{"time_s,amps,amps\n0,1,2\n1,1,2\n",
               ", row 1: column amps stands twice in the header; keep one, or say supply.columns "
               "with the numbers of the columns"},
        BadLog{"time_s,watts\n0,1\n1,2\n",
               ", row 1: has watts (watts) but neither amps nor volts; say the supply's voltage, "
               "such as supply.volts = 12"},
        BadLog{"time_s,Current\n0,0\n1,250\n",
               ", row 2, column Current: has no unit and goes up to 250, which may be A or mA; say "
               "which, such as supply.columns = time=..., amps=Current:mA"},
        BadLog{
            "time_s,amps\n0,0\n1,1250\n",
            ", row 2, column amps: goes up to 1250 A, more than a bench supply gives; if it is in "
            "mA, write supply.columns = time=..., amps=amps:mA"},
        BadLog{
            "time_s;Current (A)\n1;1,250\n2;2,500\n",
            ", row 2, column Current (A): '1,250' can be read with a decimal comma (1.25) or with "
            "thousands (1250); say supply.decimal = comma or point"},
        BadLog{
            "1 234,5 678\n2 345,6 789\n",
            ", row 2: can be parted at each comma ('2 345 | 6 789') or at each blank ('2 | 345,6 "
            "| 789'); say supply.delimiter = comma or blank"},
        BadLog{
            "Time,amps\n0,0\n50,0\n100,1\n5000,1\n",
            ", row 1, column Time: rows 50 apart may be seconds or milliseconds; say which, such "
            "as supply.columns = time=Time:ms, amps=..."},
        BadLog{"Time (s),Clock,amps\n0,12:00:00,0\n100,12:00:01,0\n150,12:00:02,1\n",
               ", row 1: columns Time (s) and Clock are both times and do not go alike; say which, "
               "such as supply.columns = time=Time (s), amps=..."},
        BadLog{"time_s,amps\n0,0\n",
               ": has 1 data rows; a supply log needs at least 2, or leave "
               "supply.log out"},
        BadLog{"time_s,amps\n",
               ": has 0 data rows; a supply log needs at least 2, or leave "
               "supply.log out"},
        BadLog{"time_s,amps\n0,0\n1,x\n",
               ", row 3, column amps: 'x' is not a finite number; write it like -12.5"},
        BadLog{"time_s,amps\n0,0\n1,\n2,\n",
               ", row 3, column amps: is empty; give a number (2 of 3 rows cannot be used)"},
        BadLog{"time_s,amps\n0,0\n1,0.5 V\n",
               ", row 3, column amps: '0.5 V' has a unit of something else"},
        BadLog{"time_s,amps\n0,0\nsoon,1\n",
               ", row 3, column time_s: 'soon' is not a time like the "
               "others"},
        BadLog{"time_s,amps\n0,0\n,1\n", ", row 3, column time_s: is empty; give a time"},
        BadLog{"time_s,amps\n0,0\n2,0\n1,0\n",
               ", row 4, column time_s: 1 runs backwards from 2 of the row before; times must rise "
               "from row to row"},
        BadLog{"time_s,amps\n0,0\n1,0\n2,0\ntime_s,amps\n0,1\n1,1\n2,1\n",
               ", row 6, column time_s: 0 runs backwards from 2 of the row before; times must rise "
               "from row to row; the header stands again in row 5, so these may be two logs in one "
               "file"},
        BadLog{"time_s,amps\n0,0\n0,0\n",
               ", row 3, column time_s: 0 repeats 0 of the row before; times must rise from row to "
               "row"},
        BadLog{"time_s,volts,amps\n0,0,5,1\n1,0,6,1\n",
               ", row 2: has 4 cells but the header 3; write decimals with a point and quote texts "
               "that hold a comma (2 of 2 rows cannot be used)"}));

// What a setting says wrong, with the columns that there are.
TEST(BadLogColumns, AreNamed) {
  const auto message = [](const char* columns) {
    try {
      (void)ParseSupplyLog("time_s,amps\n0,0\n1,1\n", "log.csv", {.columns = columns});
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string("read");
  };
  const std::string how =
      "; write it like time=1, volts=2, amps=3, by names or numbers of: time_s, amps";
  EXPECT_EQ(message("time=1, current=2"), "log.csv: supply.columns has 'current=2'" + how);
  EXPECT_EQ(message("time=1, amps=3"),
            "log.csv: supply.columns names '3', which is no column" + how);
  EXPECT_EQ(message("time=1, amps=amps:furlong"),
            "log.csv: supply.columns has no unit after the colon in 'amps=amps:furlong'" + how);
  EXPECT_EQ(message("time=1, amps=amps:mA"), "read");
}

}  // namespace
}  // namespace ohmglow
