// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/job_pool.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <fstream>
#include <map>
#include <thread>

#include "support/temp_folder.h"

namespace ohmglow::batch {
namespace {

using namespace std::chrono_literals;
using ::testing::ElementsAre;
using testing::TempFolder;

using Ends = std::map<std::size_t, JobEnd>;
using Work = std::function<std::string(std::size_t, const MemoryGate&)>;

Ends RunAll(std::size_t count, const PoolOptions& options, const Work& work) {
  Ends ends;
  EXPECT_EQ(RunJobs(count, options, work, [&](const JobEnd& end) { ends[end.index] = end; }), 0);
  return ends;
}

// Appends a line in one step, so that processes do not mix theirs.
void Note(const std::filesystem::path& file, const std::string& line) {
  std::ofstream(file, std::ios::app) << line + "\n" << std::flush;
}

std::vector<std::string> Notes(const std::filesystem::path& file) {
  std::ifstream stream(file);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

// The most jobs that were between "+" and "-" at a time.
int MostAtOnce(const std::vector<std::string>& notes) {
  int now = 0;
  int most = 0;
  for (const std::string& note : notes) {
    now += note == "+" ? 1 : -1;
    most = std::max(most, now);
  }
  return most;
}

TEST(RunJobs, BringsEveryReportHome) {
  const Ends ends = RunAll(20, {.jobs = 3, .memory_bytes = {}}, [](std::size_t i, const auto&) {
    return std::string(i * 20'000, 'a') + std::to_string(i);
  });
  ASSERT_EQ(ends.size(), 20U);
  for (const auto& [i, end] : ends) {
    EXPECT_EQ(end.report.size(), i * 20'000 + std::to_string(i).size());
    EXPECT_TRUE(end.report.ends_with(std::to_string(i)));
    EXPECT_GT(end.peak_bytes, 1e5);
  }
}

TEST(RunJobs, OutlivesWhateverAJobDoes) {
  const Ends ends = RunAll(5, {.jobs = 2, .memory_bytes = {}}, [](std::size_t i, const auto&) {
    if (i == 0) std::raise(SIGKILL);
    if (i == 1) std::signal(SIGABRT, SIG_DFL), std::abort();
    if (i == 2) throw std::runtime_error("lost");
    if (i == 3) _exit(7);
    return std::string("fine");
  });
  ASSERT_EQ(ends.size(), 5U);
  EXPECT_EQ(ends.at(0).signal, SIGKILL);
  EXPECT_EQ(ends.at(1).signal, SIGABRT);
  for (const std::size_t i : {0U, 1U, 2U, 3U}) EXPECT_EQ(ends.at(i).report, "") << i;
  EXPECT_EQ(ends.at(4).report, "fine");
}

TEST(RunJobs, RunsNoMoreThanAskedFor) {
  const TempFolder folder;
  (void)RunAll(9, {.jobs = 3, .memory_bytes = {}}, [&](std::size_t, const auto&) {
    Note(folder / "notes", "+");
    std::this_thread::sleep_for(30ms);
    Note(folder / "notes", "-");
    return std::string("x");
  });
  EXPECT_EQ(MostAtOnce(Notes(folder / "notes")), 3);
}

TEST(RunJobs, HoldsBackWhatDoesNotFitIntoMemory) {
  const TempFolder folder;
  const Work work = [&](std::size_t, const MemoryGate& gate) {
    gate.Ask(40);
    Note(folder / "notes", "+");
    std::this_thread::sleep_for(20ms);
    Note(folder / "notes", "-");
    return std::string("x");
  };
  EXPECT_EQ(RunAll(8, {.jobs = 4, .memory_bytes = 100}, work).size(), 8U);
  EXPECT_EQ(MostAtOnce(Notes(folder / "notes")), 2);
  std::filesystem::remove(folder / "notes");
  // One that is too large for all of it still gets its turn, alone.
  EXPECT_EQ(RunAll(4, {.jobs = 4, .memory_bytes = 10}, work).size(), 4U);
  EXPECT_EQ(MostAtOnce(Notes(folder / "notes")), 1);
}

// Runs `body` in a process of its own; its exit status.
template <typename Body>
pid_t InProcess(const Body& body) {
  const pid_t process = fork();
  if (process == 0) {
    body();
    _exit(0);
  }
  return process;
}

bool WaitForFile(const std::filesystem::path& file) {
  for (int i = 0; i < 200 && !std::filesystem::exists(file); ++i) std::this_thread::sleep_for(10ms);
  return std::filesystem::exists(file);
}

// A job that says when it has begun, and what it lived to do.
std::string SleepyWork(const TempFolder& folder) {
  Note(folder / "begun", std::to_string(getpid()));
  std::this_thread::sleep_for(1500ms);
  Note(folder / "survived", "x");
  return "x";
}

TEST(RunJobs, EndsAllJobsOnASignalAndSaysWhich) {
  const TempFolder folder;
  const pid_t process = InProcess([&] {
    const int signal = RunJobs(
        4,
        {.jobs = 2, .memory_bytes = {}},
        [&](std::size_t, const auto&) { return SleepyWork(folder); },
        [](const JobEnd&) {});
    Note(folder / "signal", std::to_string(signal));
  });
  ASSERT_TRUE(WaitForFile(folder / "begun"));
  kill(process, SIGTERM);
  waitpid(process, nullptr, 0);
  EXPECT_THAT(Notes(folder / "signal"), ElementsAre(std::to_string(SIGTERM)));
  std::this_thread::sleep_for(1600ms);
  EXPECT_FALSE(std::filesystem::exists(folder / "survived"));
}

TEST(RunJobs, JobsDieWithTheirParent) {
  const TempFolder folder;
  const pid_t process = InProcess([&] {
    (void)RunJobs(
        2,
        {.jobs = 2, .memory_bytes = {}},
        [&](std::size_t, const auto&) { return SleepyWork(folder); },
        [](const JobEnd&) {});
  });
  ASSERT_TRUE(WaitForFile(folder / "begun"));
  kill(process, SIGKILL);
  waitpid(process, nullptr, 0);
  std::this_thread::sleep_for(1600ms);
  EXPECT_FALSE(std::filesystem::exists(folder / "survived"));
}

}  // namespace
}  // namespace ohmglow::batch
