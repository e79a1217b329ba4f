// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>

namespace ohmglow::batch {

/// The job's way to ask, from its own process, before it takes much memory.
class MemoryGate {
 public:
  explicit MemoryGate(int socket) : socket_(socket) {}
  /// Waits until that much fits beside what the other jobs have asked for, or
  /// until no other job has been let through.
  void Ask(double bytes) const;

 private:
  int socket_;
};

/// How a job ended.
struct JobEnd {
  std::size_t index = 0;
  std::string report;     ///< What the job returned; empty where it broke off.
  int signal = 0;         ///< That ended its process; 0: it ended by itself.
  double peak_bytes = 0;  ///< Largest resident set of the process.
};

struct PoolOptions {
  int jobs = 1;                        ///< At most so many processes at a time; >= 1.
  std::optional<double> memory_bytes;  ///< What those let through may take together.
};

/// Runs `work(0)` to `work(count - 1)`, each in a process of its own (fork), so
/// that a crash, a kill or lost memory of one is the end of that one alone. The
/// caller must have a single thread. Standard output and error are flushed
/// before; the work may throw, which counts as an empty report. The processes
/// end with the caller. SIGINT, SIGTERM and SIGHUP end them all.
/// @param on_end  called in the caller, in the order in which jobs end.
/// @return        the signal that stopped it, 0 where all jobs have ended;
///                jobs that were stopped are not reported.
/// @throws OutputError  where no process can be started.
[[nodiscard]] int RunJobs(std::size_t count,
                          const PoolOptions& options,
                          const std::function<std::string(std::size_t, const MemoryGate&)>& work,
                          const std::function<void(const JobEnd&)>& on_end);

}  // namespace ohmglow::batch
