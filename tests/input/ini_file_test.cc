// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/ini_file.h"

#include <gtest/gtest.h>

#include <set>

#include "expect_error.h"
#include "input/case_keys.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"

namespace ohmglow {
namespace {

using testing::ExpectError;
using testing::TempFolder;

const std::vector<std::string>& Known() {
  static const std::vector<std::string> kNames = {
      "title", "frames.source", "frames.scale", "surface.emissivity", "surface.reflected_c"};
  return kNames;
}

// The value of `name` in a file of this text, or "(none)".
std::string ValueIn(std::string_view text, std::string_view name) {
  const TempFolder folder;
  const auto entry = IniFile(folder.Write("case.ini", text), Known()).Find(name);
  return entry ? entry->value : "(none)";
}

void ExpectIniError(std::string_view text, const std::vector<std::string>& parts) {
  const TempFolder folder;
  const auto file = folder.Write("case.ini", text);
  ExpectError<InputError>([&] { IniFile(file, Known()); }, parts);
}

TEST(IniFile, FindsKeysBySection) {
  constexpr std::string_view kText = "title = Pump\n[frames]\nsource=a.tiff\n[surface]\n";
  EXPECT_EQ(ValueIn(kText, "title"), "Pump");
  EXPECT_EQ(ValueIn(kText, "frames.source"), "a.tiff");
  EXPECT_EQ(ValueIn(kText, "surface.emissivity"), "(none)");
}

TEST(IniFile, TakesEveryLineEndAndAByteOrderMark) {
  EXPECT_EQ(ValueIn("\xEF\xBB\xBFtitle = A\r\n[frames]\r\n\tsource = b \r\n", "title"), "A");
  EXPECT_EQ(ValueIn("title = A\r\n\r\n[frames]\r\n\tsource = b \r\n", "frames.source"), "b");
  EXPECT_EQ(ValueIn("title = A\r[frames]\rsource = b", "frames.source"), "b");
}

TEST(IniFile, CutsCommentsOff) {
  EXPECT_EQ(ValueIn("; first\n# second\ntitle = A ; why\n", "title"), "A");
  EXPECT_EQ(ValueIn("title = A # why\n", "title"), "A");
  EXPECT_EQ(ValueIn("title = ; nothing\n", "title"), "");
}

TEST(IniFile, KeepsCommentSignsInsideWords) {
  EXPECT_EQ(ValueIn("title = board #3, a;b\n", "title"), "board #3, a;b");
  EXPECT_EQ(ValueIn("title = \" a ; b # c \" ; why\n", "title"), " a ; b # c ");
  EXPECT_EQ(ValueIn("title = \"A\" and \"B\"\n", "title"), "\"A\" and \"B\"");
}

TEST(IniFile, KeepsTextOfOtherAlphabetsAndEqualsSigns) {
  EXPECT_EQ(ValueIn("title = Öl = 水\n", "title"), "Öl = 水");
}

TEST(IniFile, NamesTheClosestKey) {
  ExpectIniError("[surface]\nemisivity = 0.9\n",
                 {"case.ini, line 2:", "unknown key 'surface.emisivity'", "surface.emissivity"});
  ExpectIniError("titel = x\n", {"line 1:", "unknown key 'titel'", "is title"});
}

TEST(IniFile, NamesTheSectionAKeyBelongsTo) {
  ExpectIniError("[frames]\nemissivity = 0.9\n", {"line 2:", "stands as surface.emissivity"});
  ExpectIniError("source = a\n", {"line 1:", "'source' stands as frames.source"});
}

TEST(IniFile, NamesTheClosestSection) {
  ExpectIniError("\n[frame]\n", {"line 2:", "unknown section [frame]", "[frames]"});
}

TEST(IniFile, RefusesAKeyGivenTwice) {
  ExpectIniError("[frames]\nscale = 1\n[surface]\n[frames]\nscale = 2\n",
                 {"line 5:", "frames.scale is given twice", "line 2"});
}

TEST(IniFile, RefusesLinesOfNoMeaning) {
  ExpectIniError("title = a\nhello\n", {"line 2:", "'hello'", "key = value"});
  ExpectIniError("= 3\n", {"line 1:", "no key before '='"});
  ExpectIniError("[frames\n", {"line 1:", "'[frames'", "[name]"});
}

TEST(IniFile, RefusesWhatIsNoText) {
  ExpectIniError(std::string("ti\0tle", 6), {"case.ini", "not a text file"});
}

TEST(IniFile, ReadsUtf16) {
  const std::string_view bytes("\xFF\xFEt\0i\0t\0l\0e\0=\0\xB5\0\n\0", 18);
  EXPECT_EQ(ValueIn(bytes, "title"), "\xC2\xB5");
}

TEST(ParseNumber, TakesWholeFiniteNumbersOnly) {
  EXPECT_EQ(ParseNumber(" -12.5e1 "), -125.0);
  EXPECT_EQ(ParseNumber("+3"), 3.0);
  EXPECT_EQ(ParseNumber(".5"), 0.5);
  for (const char* bad : {"", "+", "+-3", "1,5", "3 V", "nan", "inf", "-inf", "1e999", "0x10"}) {
    EXPECT_FALSE(ParseNumber(bad)) << bad;
  }
}

TEST(CaseKeys, StandOnceEach) {
  const std::vector<std::string>& keys = CaseKeys();
  EXPECT_EQ(std::set<std::string>(keys.begin(), keys.end()).size(), keys.size());
}

}  // namespace
}  // namespace ohmglow
