// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "ohmglow/base/error.h"
#include "support/temp_folder.h"
#include "survey/found_file.h"

namespace ohmglow {
namespace {

using ::testing::ElementsAre;
using testing::TempFolder;

std::vector<std::string> NamesIn(const TempFolder& folder, std::vector<std::string>& aside) {
  std::vector<std::string> names;
  for (const ListedFile& file : ListFolder(folder / "", {"overlay.png", "result.json"}, aside)) {
    names.push_back(file.name);
  }
  return names;
}

TEST(ListFolder, LeavesOutHiddenFilesAndOurResults) {
  const TempFolder folder;
  folder.Write("b.csv", "1");
  folder.Write("a10.csv", "1");
  folder.Write("a9.csv", "1");
  folder.Write(".hidden", "1");
  std::filesystem::create_directories(folder / "sub");
  folder.Write("sub/x.csv", "1");
  std::filesystem::create_directories(folder / "out");
  folder.Write("out/result.json", R"({"schema": 1, "program": {"name": "ohmglow"}})");
  folder.Write("out/growth.csv", "1");
  std::vector<std::string> aside;
  EXPECT_THAT(NamesIn(folder, aside), ElementsAre("a9.csv", "a10.csv", "b.csv", "sub/x.csv"));
  EXPECT_THAT(aside, ElementsAre("out"));
}

TEST(ListFolder, KeepsTheFilesBesideAResultThatWasPutAmongThem) {
  const TempFolder folder;
  folder.Write("result.json", R"({"schema": 1, "program": {"name": "ohmglow"}})");
  folder.Write("overlay.png", "1");
  folder.Write("photo.png", "1");
  std::vector<std::string> aside;
  EXPECT_THAT(NamesIn(folder, aside), ElementsAre("photo.png"));
  EXPECT_THAT(aside, ElementsAre("overlay.png", "result.json"));
}

TEST(ListFolder, LeavesOutLinksThatLeadElsewhere) {
  const TempFolder other;
  other.Write("far.csv", "1");
  const TempFolder folder;
  folder.Write("near.csv", "1");
  std::filesystem::create_symlink(other / "far.csv", folder / "far.csv");
  std::filesystem::create_symlink("near.csv", folder / "link.csv");
  std::filesystem::create_symlink("nothing", folder / "dangling.csv");
  std::vector<std::string> aside;
  EXPECT_THAT(NamesIn(folder, aside), ElementsAre("link.csv", "near.csv"));
}

TEST(ListFolder, WantsAFolder) {
  std::vector<std::string> aside;
  EXPECT_THROW((void)ListFolder("no/such/folder", {}, aside), InputError);
}

TEST(GroupFiles, PutsTogetherWhatDiffersInNumbersAlone) {
  std::vector<ListedFile> files;
  for (int i = 0; i < 20; ++i) files.push_back({"IMG_" + std::to_string(100 + i) + ".tiff", 1000});
  files.push_back({"IMG_120.tiff", 90000});  // A photo under the same name.
  files.push_back({"log2.csv", 10});
  files.push_back({"log3.csv", 10});
  std::vector<std::string> names;
  for (const FileGroup& group : GroupFiles(files)) {
    names.push_back(group.name + ":" + std::to_string(group.files.size()));
  }
  EXPECT_THAT(names,
              ::testing::UnorderedElementsAre(
                  "IMG_#.tiff:20", "IMG_120.tiff:1", "log2.csv:1", "log3.csv:1"));
}

}  // namespace
}  // namespace ohmglow
