// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "cli/batch_case.h"
#include "cli/batch_command.h"
#include "cli/batch_progress.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

BatchRequest Parse(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "batch");
  return ReadBatchRequest(std::get<CommandRequest>(ParseCommandLine(arguments)).arguments);
}

void ExpectRefused(const std::vector<std::string>& arguments, const std::string& message) {
  try {
    (void)Parse(arguments);
    ADD_FAILURE() << "not refused; expected: " << message;
  } catch (const OptionError& error) {
    EXPECT_THAT(error.what(), HasSubstr(message));
    EXPECT_THAT(error.what(), Not(HasSubstr("\n")));
  }
}

TEST(ReadBatchRequest, TakesAFolderAListOrFoldersToJoin) {
  EXPECT_EQ(Parse({"shelf", "--out", "o"}).root, "shelf");
  EXPECT_EQ(Parse({"--list", "-", "--out", "o"}).list, "-");
  const BatchRequest merge = Parse({"--merge", "a", "b", "--out", "o"});
  EXPECT_THAT(merge.merge, ElementsAre("a", "b"));
  EXPECT_EQ(merge.out, "o");
}

TEST(ReadBatchRequest, TakesItsOptionsAndThoseOfLocate) {
  const BatchRequest request = Parse({"shelf",
                                      "--out",
                                      "o",
                                      "--jobs",
                                      "3",
                                      "--shard",
                                      "2/5",
                                      "--memory-mb",
                                      "900",
                                      "--again",
                                      "--max-candidates",
                                      "2"});
  EXPECT_EQ(request.jobs, 3);
  EXPECT_EQ(request.shard.number, 2);
  EXPECT_EQ(request.shard.count, 5);
  EXPECT_EQ(request.memory_mb, 900);
  EXPECT_TRUE(request.again);
  EXPECT_EQ(request.settings.locate.rank.max_candidates, 2);
}

TEST(ReadBatchRequest, RefusesWhatContradictsItself) {
  ExpectRefused({"shelf"}, "give --out DIR");
  ExpectRefused({"--out", "o"}, "one folder, or --list");
  ExpectRefused({"a", "b", "--out", "o"}, "'b' is too much");
  ExpectRefused({"a", "--list", "l", "--out", "o"}, "leave out 'a'");
  ExpectRefused({"--merge", "--out", "o"}, "needs the folders");
  ExpectRefused({"--merge", "a", "--jobs", "2", "--out", "o"}, "leave out --jobs");
  ExpectRefused({"a", "--out", "o", "--jobs", "0"}, "--jobs");
  for (const char* shard : {"0/3", "4/3", "1", "1/", "/3", "1/3x", "-1/3", "1/99999", "a/b"}) {
    ExpectRefused({"a", "--out", "o", "--shard", shard}, "is not I/N");
  }
}

TEST(OptionsThatMatter, LeavesOutTheThreads) {
  Settings settings;
  const auto before = OptionsThatMatter(settings);
  settings.threads = 7;
  EXPECT_EQ(OptionsThatMatter(settings), before);
  settings.locate.heat.clock_range_s = 1;
  EXPECT_NE(OptionsThatMatter(settings), before);
}

TEST(CaseReport, ComesBackAsItWasSent) {
  for (const CaseOutcome outcome : {CaseOutcome::kComputed,
                                    CaseOutcome::kUnchanged,
                                    CaseOutcome::kFailed,
                                    CaseOutcome::kFailedUnchanged,
                                    CaseOutcome::kNotWritten}) {
    const CaseReport report = CaseReport::Decode(CaseReport{outcome, "text"}.Encode());
    EXPECT_EQ(report.outcome, outcome);
    EXPECT_EQ(report.text, "text");
  }
}

TEST(ProgressText, TellsTheTimeLeftFromWhatWasWorkedOn) {
  BatchCounts counts;
  counts.total = 40;
  EXPECT_EQ(ProgressText(counts, 0), "0 of 40: 0 done, 0 failed, 0 unchanged");
  for (int i = 0; i < 10; ++i) counts.Add({CaseOutcome::kUnchanged, ""});
  EXPECT_EQ(ProgressText(counts, 1), "10 of 40: 0 done, 0 failed, 10 unchanged");
  for (int i = 0; i < 4; ++i) counts.Add({CaseOutcome::kComputed, ""});
  counts.Add({CaseOutcome::kFailed, ""});
  // 5 cases in 10 s, so 25 more take 50 s: what was skipped tells nothing.
  EXPECT_EQ(ProgressText(counts, 10, Words::Report("de")),
            "15 von 40: 4 fertig, 1 gescheitert, 10 unverändert; noch etwa 50 s");
  EXPECT_EQ(ProgressText(counts, 10), "15 of 40: 4 done, 1 failed, 10 unchanged; about 50 s left");
  EXPECT_THAT(ProgressText(counts, 600), HasSubstr("about 50 min left"));
  EXPECT_THAT(ProgressText(counts, 36000), HasSubstr("about 50 h left"));
}

TEST(CaseLine, StaysOneShortLine) {
  EXPECT_EQ(CaseLine("f2", {CaseOutcome::kUnchanged, "No fault seen."}),
            "f2: unchanged, skipped. No fault seen.");
  const std::string line =
      CaseLine("f\n3", {CaseOutcome::kFailed, "a\nb\x1B" + std::string(1'000'000, 'x')});
  EXPECT_TRUE(line.starts_with("f 3: FAILED: a b"));
  EXPECT_EQ(CaseLine("f2", {CaseOutcome::kFailedUnchanged, "no frames"}, Words::Report("de")),
            "f2: GESCHEITERT, unverändert, übersprungen: no frames");
  EXPECT_LT(line.size(), 400U);
}

}  // namespace
}  // namespace ohmglow::cli
