// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/memory.h"

#include <gtest/gtest.h>

#include "support/temp_folder.h"

namespace ohmglow::batch {
namespace {

using testing::TempFolder;

constexpr const char* kMemInfo =
    "MemTotal:       16000000 kB\nMemFree:          500000 kB\nMemAvailable:    8000000 kB\n";

TEST(JobMemoryBytes, GrowsWithFrameAndPhoto) {
  const double small = JobMemoryBytes({160, 120}, {});
  EXPECT_GT(small, 80e6);
  EXPECT_NEAR(JobMemoryBytes({320, 240}, {}) - small, 2600 * 3 * 160 * 120, 1);
  EXPECT_NEAR(JobMemoryBytes({160, 120}, {4000, 3000}) - small, 96e6, 1);
}

TEST(FreeMemoryBytes, IsUnknownWithoutTheKernelsFiles) {
  const TempFolder root;
  EXPECT_FALSE(FreeMemoryBytes(root.path()).has_value());
}

TEST(FreeMemoryBytes, TakesWhatTheKernelCallsAvailable) {
  const TempFolder root;
  root.Write("proc/meminfo", kMemInfo);
  EXPECT_DOUBLE_EQ(FreeMemoryBytes(root.path()).value(), 8000000.0 * 1024);
  root.Write("proc/self/cgroup", "0::/user/job\n");
  root.Write("sys/fs/cgroup/user/job/memory.max", "max\n");
  EXPECT_DOUBLE_EQ(FreeMemoryBytes(root.path()).value(), 8000000.0 * 1024);
}

// Files and meanings: Linux kernel documentation, "Control Group v2", memory
// interface files; "Memory Resource Controller" for version 1.
TEST(FreeMemoryBytes, TakesTheNarrowestLimitOfAllGroups) {
  const TempFolder root;
  root.Write("proc/meminfo", kMemInfo);
  root.Write("proc/self/cgroup", "0::/user/job\n");
  root.Write("sys/fs/cgroup/user/job/memory.max", "3000000000\n");
  root.Write("sys/fs/cgroup/user/job/memory.current", "1000000000\n");
  root.Write("sys/fs/cgroup/user/job/memory.stat", "anon 5\ninactive_file 400000000\nslab 7\n");
  EXPECT_DOUBLE_EQ(FreeMemoryBytes(root.path()).value(), 2.4e9);
  root.Write("sys/fs/cgroup/user/memory.max", "1500000000\n");
  root.Write("sys/fs/cgroup/user/memory.current", "1000000000\n");
  EXPECT_DOUBLE_EQ(FreeMemoryBytes(root.path()).value(), 0.5e9);
  root.Write("sys/fs/cgroup/memory.max", "100\n");
  root.Write("sys/fs/cgroup/memory.current", "900\n");
  EXPECT_DOUBLE_EQ(FreeMemoryBytes(root.path()).value(), 0);
}

TEST(FreeMemoryBytes, KnowsVersionOneAsWell) {
  const TempFolder root;
  root.Write("proc/self/cgroup", "5:cpu,cpuacct:/x\n4:memory:/job 7\n");
  root.Write("sys/fs/cgroup/memory/job 7/memory.limit_in_bytes", "700\n");
  root.Write("sys/fs/cgroup/memory/job 7/memory.usage_in_bytes", "300\n");
  EXPECT_DOUBLE_EQ(FreeMemoryBytes(root.path()).value(), 400);
}

}  // namespace
}  // namespace ohmglow::batch
