// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/regions.h"

#include <gtest/gtest.h>

#include "expect_error.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"

namespace ohmglow {
namespace {

using testing::ExpectError;
using testing::TempFolder;

const std::string kHeader = "name,x_mm,y_mm,width_mm,height_mm\n";

void ExpectRefused(const std::string& text, const std::vector<std::string>& parts) {
  const TempFolder folder;
  const auto file = folder.Write("regions.csv", text);
  ExpectError<InputError>([&] { (void)LoadRegions(file); }, parts);
}

TEST(LoadRegions, ReadsRectanglesInAnyOrderOfColumns) {
  const TempFolder folder;
  const auto regions =
      LoadRegions(folder.Write("r.csv",
                               "height_mm,name,note,x_mm,y_mm,width_mm\n"
                               "8,\"pad, left\",first,-1.5,20,10.5\n\n4,U7,,30,0,4\n"));
  ASSERT_EQ(regions.size(), 2U);
  EXPECT_EQ(regions[0].name, "pad, left");
  EXPECT_EQ(regions[0].center_mm, Point(-1.5, 20));
  EXPECT_EQ(regions[0].width_mm, 10.5);
  EXPECT_EQ(regions[0].height_mm, 8);
  EXPECT_EQ(regions[1].name, "U7");
}

TEST(LoadRegions, NamesRowAndColumn) {
  ExpectRefused(kHeader + "a,0,0,1,1\n\n,0,0,1,1\n", {"regions.csv, row 4, column name", "empty"});
  ExpectRefused(kHeader + "a,0,0,1,1\nb,0,0,1,1\na,5,5,1,1\n",
                {"row 4, column name", "'a' stands in row 2 already"});
  ExpectRefused(kHeader + "a,0,0,0,1\n", {"row 2, column width_mm", "0 is no size", "above 0"});
  ExpectRefused(kHeader + "a,0,0,1,-2\n", {"row 2, column height_mm", "-2 is no size"});
  ExpectRefused(kHeader + "a,left,0,1,1\n", {"row 2, column x_mm", "'left'"});
  ExpectRefused(kHeader + "a,0,nan,1,1\n", {"row 2, column y_mm", "'nan'", "finite"});
  ExpectRefused(kHeader + "a,0,0,inf,1\n", {"row 2, column width_mm", "finite"});
  ExpectRefused(kHeader + "a,0,0,1\n", {"row 2, column height_mm: is empty"});
  ExpectRefused(kHeader + std::string(101, 'n') + ",0,0,1,1\n",
                {"row 2, column name", "too long", "100"});
}

TEST(LoadRegions, RefusesTablesThatAreNone) {
  ExpectRefused("", {"regions.csv: is empty"});
  ExpectRefused(kHeader, {"has 0 regions", "1 to 1000"});
  ExpectRefused("name,x_mm,y_mm,width_mm\na,0,0,1\n", {"row 1: column height_mm is missing"});
  std::string many = kHeader;
  for (int i = 0; i < 1001; ++i) many += std::to_string(i) + ",0,0,1,1\n";
  ExpectRefused(many, {"has 1001 regions"});
}

TEST(LoadRegions, NamesTheOptionOfAMissingFile) {
  const TempFolder folder;
  ExpectError<InputError>([&] { (void)LoadRegions(folder / "none.csv"); },
                          {"none.csv", "--regions"});
}

}  // namespace
}  // namespace ohmglow
