// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/result_folder.h"

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::UnorderedElementsAre;

class WriteResultFolderTest : public ::testing::Test {
 protected:
  WriteResultFolderTest() {
    std::string name = (fs::temp_directory_path() / "ohmglow-test-XXXXXX").string();
    base_ = mkdtemp(name.data());
  }
  ~WriteResultFolderTest() override {
    std::error_code ignored;
    fs::remove_all(base_, ignored);
  }

  [[nodiscard]] fs::path Folder() const { return base_ / "out"; }

  static std::vector<ResultFile> Files(const std::string& mark, std::size_t map_bytes = 3) {
    return {{"motion.csv", "motion " + mark},
            {"overlay.png", "overlay " + mark},
            {"map.png", std::string(map_bytes, 'm')},
            {"result.json", R"({"program": {"name": "ohmglow"}, "mark": ")" + mark + "\"}"}};
  }

  static std::string Read(const fs::path& path) {
    std::ostringstream text;
    text << std::ifstream(path).rdbuf();
    return text.str();
  }

  static void Put(const fs::path& path, const std::string& text) { std::ofstream(path) << text; }

  [[nodiscard]] static std::vector<std::string> Names(const fs::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder)) {
      names.push_back(entry.path().filename().string());
    }
    return names;
  }

  static void ExpectRefused(const fs::path& folder, const std::string& part) {
    try {
      WriteResultFolder(folder, kLocateFolder, Files("new"));
      ADD_FAILURE() << "not refused: " << folder;
    } catch (const OutputError& error) {
      EXPECT_THAT(error.what(), HasSubstr(part));
      EXPECT_THAT(error.what(), HasSubstr(folder.filename().string()));
    }
  }

  // Writes with files limited to 1 MB, so that the third one, of 2 MB, ends
  // the process (true) or fails (false).
  static int WriteWithLimit(const fs::path& folder, bool killed) {
    const pid_t child = fork();
    if (child == 0) {
      const rlimit limit{1'000'000, 1'000'000};
      setrlimit(RLIMIT_FSIZE, &limit);
      std::signal(SIGXFSZ, killed ? SIG_DFL : SIG_IGN);
      try {
        WriteResultFolder(folder, kLocateFolder, Files("new", 2'000'000));
        _exit(0);
      } catch (const OutputError&) {
        _exit(5);
      }
    }
    int status = 0;
    waitpid(child, &status, 0);
    return status;
  }

  fs::path base_;
};

TEST_F(WriteResultFolderTest, TakesARelativeNameOfWhichNothingExistsYet) {
  const fs::path before = fs::current_path();
  fs::current_path(base_);
  CheckResultFolder("plain", kLocateFolder);
  WriteResultFolder("plain", kLocateFolder, Files("new"));
  fs::current_path(before);
  EXPECT_TRUE(fs::exists(base_ / "plain" / "result.json"));
}

TEST_F(WriteResultFolderTest, MakesTheFolderWithEveryFile) {
  WriteResultFolder(Folder(), kLocateFolder, Files("a"));
  EXPECT_THAT(Names(Folder()),
              UnorderedElementsAre("motion.csv", "overlay.png", "map.png", "result.json"));
  EXPECT_EQ(Read(Folder() / "overlay.png"), "overlay a");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, TakesAnEmptyFolderAndATrailingSlash) {
  fs::create_directory(Folder());
  WriteResultFolder(Folder().string() + "/", kLocateFolder, Files("a"));
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion a");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, ReplacesAnOlderResultAndKeepsOtherFiles) {
  WriteResultFolder(Folder(), kLocateFolder, Files("old"));
  Put(Folder() / "notes.txt", "C41 looks dull");
  fs::create_directory(Folder() / "photos");
  WriteResultFolder(Folder(), kLocateFolder, Files("new"));
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion new");
  EXPECT_THAT(Read(Folder() / "result.json"), HasSubstr("new"));
  EXPECT_EQ(Read(Folder() / "notes.txt"), "C41 looks dull");
  EXPECT_TRUE(fs::is_directory(Folder() / "photos"));
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, JoinsFilesThatAreNotInTheWay) {
  fs::create_directory(Folder());
  Put(Folder() / "run.log", "log");
  WriteResultFolder(Folder(), kLocateFolder, Files("a"));
  EXPECT_EQ(Read(Folder() / "run.log"), "log");
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion a");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, FollowsALink) {
  WriteResultFolder(Folder(), kLocateFolder, Files("old"));
  fs::create_directory_symlink(Folder(), base_ / "link");
  WriteResultFolder(base_ / "link", kLocateFolder, Files("new"));
  EXPECT_TRUE(fs::is_symlink(base_ / "link"));
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion new");
}

TEST_F(WriteResultFolderTest, RefusesStrangersUnderOurNames) {
  fs::create_directory(Folder());
  Put(Folder() / "overlay.png", "holiday");
  ExpectRefused(Folder(), "no result of ohmglow");
  Put(Folder() / "result.json", R"({"program": {"name": "another"}})");
  ExpectRefused(Folder(), "no result of ohmglow");
  Put(Folder() / "result.json", "[1, 2");
  ExpectRefused(Folder(), "no result of ohmglow");
  EXPECT_EQ(Read(Folder() / "overlay.png"), "holiday");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, RefusesAFileAndAMissingParent) {
  Put(Folder(), "a file");
  ExpectRefused(Folder(), "is a file");
  EXPECT_EQ(Read(Folder()), "a file");
  ExpectRefused(base_ / "no" / "such", "make it first");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, LeavesNothingWhereAFileCannotBeWritten) {
  const int status = WriteWithLimit(Folder(), false);
  ASSERT_TRUE(WIFEXITED(status));
  EXPECT_EQ(WEXITSTATUS(status), 5);
  EXPECT_THAT(Names(base_), UnorderedElementsAre());
}

TEST_F(WriteResultFolderTest, KeepsTheOlderResultWhereAFileCannotBeWritten) {
  WriteResultFolder(Folder(), kLocateFolder, Files("old"));
  EXPECT_EQ(WEXITSTATUS(WriteWithLimit(Folder(), false)), 5);
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion old");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, KilledMidwayKeepsTheOlderResultAndTheNextRunClearsUp) {
  WriteResultFolder(Folder(), kLocateFolder, Files("old"));
  ASSERT_TRUE(WIFSIGNALED(WriteWithLimit(Folder(), true)));
  EXPECT_EQ(Names(base_).size(), 2U) << "the killed run should have left its own folder";
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion old");
  EXPECT_THAT(Read(Folder() / "result.json"), HasSubstr("old"));

  WriteResultFolder(Folder(), kLocateFolder, Files("new"));
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion new");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, BringsBackAResultThatWasSetAside) {
  WriteResultFolder(Folder(), kLocateFolder, Files("old"));
  fs::rename(Folder(), base_ / "out.partial-1-old");
  EXPECT_THROW(WriteResultFolder(Folder(), kLocateFolder, {{"no/such", "x"}}), OutputError);
  EXPECT_EQ(Read(Folder() / "motion.csv"), "motion old");
  EXPECT_THAT(Names(base_), UnorderedElementsAre("out"));
}

TEST_F(WriteResultFolderTest, LeavesTheFolderOfALivingRunAlone) {
  const fs::path living = base_ / "out.partial-77";
  fs::create_directory(living);
  Put(living / "map.png", "half");
  const int descriptor = open(living.c_str(), O_RDONLY | O_DIRECTORY);
  ASSERT_EQ(flock(descriptor, LOCK_EX), 0);
  WriteResultFolder(Folder(), kLocateFolder, Files("a"));
  EXPECT_EQ(Read(living / "map.png"), "half");
  close(descriptor);
  WriteResultFolder(Folder(), kLocateFolder, Files("b"));
  EXPECT_FALSE(fs::exists(living));
}

TEST_F(WriteResultFolderTest, NeverRemovesAStrangersFile) {
  const fs::path similar = base_ / "out.partial-mine";
  fs::create_directory(similar);
  Put(similar / "thesis.txt", "kept");
  fs::create_directory(base_ / "outer.partial-1");
  WriteResultFolder(Folder(), kLocateFolder, Files("a"));
  EXPECT_EQ(Read(similar / "thesis.txt"), "kept");
  EXPECT_TRUE(fs::exists(base_ / "outer.partial-1"));
}

}  // namespace
}  // namespace ohmglow::cli
