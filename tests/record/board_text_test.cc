// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/board_text.h"

#include <gtest/gtest.h>

#include "input/case_keys.h"
#include "input/ini_file.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"

namespace ohmglow::record {
namespace {

TEST(BoardText, KeepsTheBoardAndLeavesTheFilmOut) {
  const testing::TempFolder folder;
  folder.Write("maps/frames.csv", "ref\n");
  const BoardText board =
      ReadBoardText(folder.Write("b.ini",
                                 "title = A board\n[frames]\nsource = no.tiff\n"
                                 "scale = 0.02 ; K\ntimes = no.csv\nrate_hz = 8\n"
                                 "[supply]\nlog = no.csv\n\n[board]\n"
                                 "parts = maps/frames.csv ; ours\nside = top\n"));
  const IniFile ini("text", board.text, CaseKeys());
  EXPECT_EQ(ini.Find("title")->value, "A board");
  EXPECT_EQ(ini.Find("frames.scale")->value, "0.02");
  EXPECT_FALSE(ini.Find("frames.source"));
  EXPECT_FALSE(ini.Find("frames.times"));
  EXPECT_FALSE(ini.Find("frames.rate_hz"));
  EXPECT_FALSE(ini.Find("supply.log"));
  EXPECT_EQ(ini.Find("board.side")->value, "top");
  ASSERT_EQ(board.copies.size(), 1U);
  EXPECT_EQ(board.copies[0].from, folder / "maps/frames.csv");
  EXPECT_NE(board.copies[0].to, "frames.csv") << "that name is the film's";
  EXPECT_EQ(ini.Find("board.parts")->value, board.copies[0].to);
}

TEST(BoardText, AnEmptyBoardIsABoard) {
  const testing::TempFolder folder;
  EXPECT_EQ(ReadBoardText(folder.Write("b.ini", "")).copies.size(), 0U);
}

TEST(BoardText, TellsWhatIsWrongWithIt) {
  const testing::TempFolder folder;
  EXPECT_THROW((void)ReadBoardText(folder / "none.ini"), InputError);
  EXPECT_THROW((void)ReadBoardText(folder.Write("b.ini", "[board]\nparts = no.csv\n")), InputError);
  EXPECT_THROW((void)ReadBoardText(folder.Write("b.ini", "[bord]\nside = top\n")), InputError);
}

}  // namespace
}  // namespace ohmglow::record
