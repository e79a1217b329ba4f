// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/inputs.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <nlohmann/json.hpp>

#include "batch/case_record.h"
#include "support/temp_folder.h"

namespace ohmglow::batch {
namespace {

namespace fs = std::filesystem;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;
using Json = nlohmann::ordered_json;
using testing::TempFolder;

constexpr const char* kIni =
    "title = t\n[frames]\nsource = raw/*.tiff\n[supply]\nlog = supply.csv\n[board]\nphoto = "
    "p.png\n";

class InputsTest : public ::testing::Test {
 protected:
  InputsTest() {
    folder_.Write("case.ini", kIni);
    folder_.Write("raw/f1.tiff", "one");
    folder_.Write("raw/f2.tiff", "two");
    folder_.Write("supply.csv", "time_s,volts,amps\n");
    folder_.Write("p.png", "png");
    folder_.Write("other.txt", "not named by the case");
  }

  [[nodiscard]] Json Describe(const OptionValues& options = {{"max-candidates", 8}}) const {
    return DescribeInputs(folder_ / "case.ini", options);
  }

  TempFolder folder_;
};

TEST_F(InputsTest, NamesEveryFileOfTheCase) {
  const Json json = Describe();
  ASSERT_THAT(json["inputs"], SizeIs(4));
  EXPECT_EQ(json["inputs"][0]["key"], "case");
  EXPECT_EQ(json["inputs"][1]["key"], "frames.source");
  EXPECT_EQ(json["inputs"][1]["files"], 2);
  EXPECT_EQ(json["inputs"][1]["bytes"], 6);
  EXPECT_EQ(json["inputs"][2]["name"], "supply.csv");
  EXPECT_EQ(json["options"]["max-candidates"], 8);
  EXPECT_THAT(json.dump(), ::testing::Not(HasSubstr(folder_.path().string())))
      << "must be the same on another machine";
}

TEST_F(InputsTest, ChangesWithAnythingThatTheCaseIsReadFrom) {
  std::vector<Json> seen{Describe(), Describe({{"max-candidates", 9}})};
  const auto note = [&] { seen.push_back(Describe()); };
  folder_.Write("raw/f2.tiff", "twO");
  note();
  folder_.Write("raw/f3.tiff", "");
  note();
  fs::rename(folder_ / "raw/f3.tiff", folder_ / "raw/f4.tiff");
  note();
  fs::remove(folder_ / "p.png");
  note();
  folder_.Write("p.png", "");
  note();
  folder_.Write("case.ini", std::string(kIni) + "; a comment\n");
  note();
  folder_.Write("case.ini", std::string(kIni) + "[nonsense]\n");
  note();
  // A byte that moves from the end of one file to the next one's beginning.
  folder_.Write("case.ini", kIni);
  folder_.Write("raw/f1.tiff", "on");
  folder_.Write("raw/f2.tiff", "etwO");
  note();
  for (std::size_t i = 0; i < seen.size(); ++i) {
    for (std::size_t j = i + 1; j < seen.size(); ++j) EXPECT_NE(seen[i], seen[j]) << i << ' ' << j;
  }
}

TEST_F(InputsTest, StaysTheSameOtherwise) {
  const Json before = Describe();
  folder_.Write("other.txt", "changed");
  fs::last_write_time(folder_ / "p.png", fs::file_time_type::clock::now());
  EXPECT_EQ(Describe(), before);
}

TEST_F(InputsTest, DoesNotWaitForAPipe) {
  fs::remove(folder_ / "p.png");
  ASSERT_EQ(mkfifo((folder_ / "p.png").c_str(), 0600), 0);
  EXPECT_EQ(Describe()["inputs"][3]["problem"], "cannot be read");
}

TEST_F(InputsTest, HashesAsPublished) {
  // XXH3, 128 bits, of the empty input: 99aa06d3014798d86001c324468d497f, as the
  // reference implementation's own test values state (xxhash.com, from memory). A file
  // of a case adds its name, so this is what a source without files hashes to.
  folder_.Write("case.ini", "[frames]\nsource = none/*.tiff\n");
  const Json json = Describe();
  EXPECT_EQ(json["inputs"][1]["xxh3_128"], "99aa06d3014798d86001c324468d497f");
  EXPECT_THAT(json["inputs"][1]["problem"].get<std::string>(), HasSubstr("no such folder"));
}

TEST_F(InputsTest, IsUpToDateOnlyWhereAllIsThereInItsSize) {
  const Json inputs = Describe();
  const TempFolder out;
  EXPECT_FALSE(IsUpToDate(out.path(), inputs));
  out.Write("result.json", "12345");
  out.Write("inputs.json", ToInputsJson(inputs, {{"result.json", 5}}));
  EXPECT_TRUE(IsUpToDate(out.path(), inputs));
  EXPECT_THAT(FilesOf(out.path()), ElementsAre("result.json", "inputs.json"));
  EXPECT_FALSE(IsUpToDate(out.path(), Describe({{"max-candidates", 9}})));
  EXPECT_FALSE(IsUpToDate(out.path(), NoInputs()));

  out.Write("result.json", "1234");
  EXPECT_FALSE(IsUpToDate(out.path(), inputs)) << "cut short";
  EXPECT_THAT(FilesOf(out.path()), SizeIs(0));
  for (const char* spoilt :
       {"", "{", "[]", "{\"written\": 3}", "{\"written\": {\"result.json\": -1}}"}) {
    out.Write("inputs.json", spoilt);
    EXPECT_FALSE(IsUpToDate(out.path(), inputs)) << spoilt;
    EXPECT_THAT(FilesOf(out.path()), SizeIs(0)) << spoilt;
  }
}

TEST(ReadRecord, ReadsAnErrorBack) {
  const TempFolder out;
  const std::string error = ToErrorJson("Rail\n3", 4, "the log\tshows no step");
  out.Write("a/error.json", error);
  out.Write("a/inputs.json", ToInputsJson(NoInputs(), {{"error.json", error.size()}}));
  const CaseRecord record = ReadRecord(out.path(), "a");
  EXPECT_EQ(record.status, CaseStatus::kFailed);
  EXPECT_EQ(record.error_code, 4);
  EXPECT_EQ(record.error, "the log shows no step");
  EXPECT_EQ(record.title, "Rail 3");
}

TEST(ReadRecord, CallsMissingWhatIsNotWhole) {
  const TempFolder out;
  EXPECT_EQ(ReadRecord(out.path(), "a").status, CaseStatus::kMissing);
  out.Write("a/result.json", "{}");
  EXPECT_EQ(ReadRecord(out.path(), "a").status, CaseStatus::kMissing) << "no inputs.json";
  out.Write("a/inputs.json", ToInputsJson(NoInputs(), {{"result.json", 2}}));
  const CaseRecord record = ReadRecord(out.path(), "a");
  EXPECT_EQ(record.status, CaseStatus::kMissing);
  EXPECT_THAT(record.error, HasSubstr("a/result.json"));
}

}  // namespace
}  // namespace ohmglow::batch
