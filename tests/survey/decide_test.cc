// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "survey/decide.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace ohmglow {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;
using Kind = FoundFile::Kind;

FoundFile One(const std::string& name, Kind kind, int pages = 1, cv::Size size_px = {}) {
  FoundFile file;
  file.group = {name, {{name, 1'000'000}}};
  file.kind = kind;
  file.pages = pages;
  file.size_px = size_px;
  return file;
}

FoundFile Table(const std::string& name, TableKind kind) {
  FoundFile file = One(name, Kind::kTable, 0);
  file.table = {kind, "by its columns"};
  return file;
}

std::string ValueOf(const Decision& decision, const std::string& key) {
  for (const Setting& setting : decision.settings) {
    if (setting.key == key) return setting.value;
  }
  return "";
}

const FoundFile kFilm = One("rec.tiff", Kind::kGrey, 300, {160, 120});

TEST(Decide, GivesEachFileItsPart) {
  const Decision decision = Decide({kFilm,
                                    One("board.jpg", Kind::kColour, 1, {1600, 1200}),
                                    Table("psu.csv", TableKind::kLog),
                                    Table("pnp.csv", TableKind::kParts),
                                    Table("note.txt", TableKind::kNone)},
                                   {});
  EXPECT_EQ(ValueOf(decision, "frames.source"), "rec.tiff");
  EXPECT_EQ(ValueOf(decision, "board.photo"), "board.jpg");
  EXPECT_EQ(ValueOf(decision, "supply.log"), "psu.csv");
  EXPECT_EQ(ValueOf(decision, "board.parts"), "pnp.csv");
  EXPECT_THAT(decision.questions, IsEmpty());
  EXPECT_THAT(decision.set_aside, SizeIs(1));
}

TEST(Decide, AsksWhereTwoFilesMayBeTheSame) {
  const Decision decision =
      Decide({kFilm, Table("a.csv", TableKind::kLog), Table("b.csv", TableKind::kLog)}, {});
  EXPECT_EQ(ValueOf(decision, "supply.log"), "");
  ASSERT_THAT(decision.questions, SizeIs(1));
  EXPECT_TRUE(decision.questions[0].needed);
  EXPECT_THAT(decision.questions[0].text,
              AllOf(HasSubstr("a.csv and b.csv"), HasSubstr("--log NAME")));
}

TEST(Decide, GoesOnWithoutAPhotoWhereTwoMayBeIt) {
  const Decision decision = Decide({kFilm,
                                    One("top.jpg", Kind::kColour, 1, {1600, 1200}),
                                    One("bottom.jpg", Kind::kColour, 1, {1600, 1200})},
                                   {});
  EXPECT_EQ(ValueOf(decision, "board.photo"), "");
  ASSERT_THAT(decision.questions, SizeIs(1));
  EXPECT_FALSE(decision.questions[0].needed);
  EXPECT_THAT(decision.questions[0].text, HasSubstr("--photo"));
}

TEST(Decide, PrefersValuesToWhatOnlyShowsThem) {
  const Decision decision = Decide({One("screen.mp4", Kind::kFilm, 0), kFilm}, {});
  EXPECT_EQ(ValueOf(decision, "frames.source"), "rec.tiff");
  EXPECT_EQ(ValueOf(Decide({One("screen.mp4", Kind::kFilm, 0)}, {}), "frames.source"),
            "screen.mp4");
}

TEST(Decide, TakesAPictureSmallerThanAFrameForNoPhoto) {
  const Decision decision = Decide({kFilm, One("logo.png", Kind::kColour, 1, {64, 64})}, {});
  EXPECT_EQ(ValueOf(decision, "board.photo"), "");
}

TEST(Decide, ReadsTheSizeOfRawFramesFromTheirName) {
  FoundFile raw = One("rec_256x192.bin", Kind::kUnknown, 0);
  const Decision decision = Decide({raw}, {});
  EXPECT_EQ(ValueOf(decision, "frames.source"), "rec_256x192.bin");
  EXPECT_EQ(ValueOf(decision, "frames.width_px"), "256");
  EXPECT_EQ(ValueOf(decision, "frames.height_px"), "192");
  raw.group = {"rec.bin", {{"rec.bin", 1'000'000}}};
  ASSERT_THAT(Decide({raw}, {}).questions, SizeIs(1));
}

TEST(Decide, LeavesAloneWhatIsSettled) {
  const Decision decision =
      Decide({kFilm, Table("a.csv", TableKind::kLog)}, {"frames.source", "supply.levels"});
  EXPECT_THAT(decision.settings, IsEmpty());
  EXPECT_THAT(decision.questions, IsEmpty());
}

TEST(Decide, AsksForFramesWhereThereAreNone) {
  const Decision decision = Decide({}, {});
  ASSERT_THAT(decision.questions, SizeIs(1));
  EXPECT_THAT(decision.questions[0].text, HasSubstr("--frames"));
}

TEST(Decide, TakesNoFileThatCannotBeReadForTheCapture) {
  const Decision decision = Decide({One("report.xlsx", Kind::kUnreadable, 0)}, {});
  EXPECT_THAT(decision.settings, IsEmpty());
  ASSERT_THAT(decision.questions, SizeIs(1));
  EXPECT_THAT(decision.questions[0].text,
              AllOf(HasSubstr("where are the frames"), HasSubstr("report.xlsx cannot be read")));
  EXPECT_THAT(decision.set_aside, SizeIs(1));
}

TEST(NameOfSeries, FitsTheSeriesAlone) {
  FileGroup group{"IMG_#.png", {{"IMG_1.png", 1}, {"IMG_2.png", 1}, {"IMG_10.png", 1}}};
  std::vector<std::string> all{"IMG_1.png", "IMG_2.png", "IMG_10.png", "photo.png"};
  EXPECT_EQ(NameOfSeries(group, all), "IMG_*.png");
  group = {"#.png", {{"01.png", 1}, {"02.png", 1}}};
  EXPECT_EQ(NameOfSeries(group, {"01.png", "02.png", "photo.png"}), "??.png");
  group = {"raw/#.png", {{"raw/01.png", 1}, {"raw/02.png", 1}}};
  EXPECT_EQ(NameOfSeries(group, {"raw/01.png", "raw/02.png", "photo.png"}), "raw");
}

}  // namespace
}  // namespace ohmglow
