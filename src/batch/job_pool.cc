// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/job_pool.h"

#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <iostream>
#include <vector>

#include "ohmglow/base/error.h"

namespace ohmglow::batch {
namespace {

using Work = std::function<std::string(std::size_t, const MemoryGate&)>;

// What a job sends: 'M' with the bytes it asks for, once or never, then 'R'
// with its report up to the end. It is answered one byte.
constexpr char kMemory = 'M';
constexpr char kReport = 'R';
constexpr std::size_t kMemoryMessage = 1 + sizeof(double);
constexpr std::array kStopSignals{SIGINT, SIGTERM, SIGHUP};

// Set by the handler; a handler can reach nothing but a global.
volatile std::sig_atomic_t stop_signal = 0;
void OnStop(int signal) { stop_signal = signal; }

// While it lives, signals that stop are held back and only noted while waiting.
class StopSignals {
 public:
  StopSignals() {
    stop_signal = 0;
    sigset_t held;
    sigemptyset(&held);
    for (const int signal : kStopSignals) sigaddset(&held, signal);
    sigprocmask(SIG_BLOCK, &held, &mask_);
    struct sigaction action {};
    action.sa_handler = OnStop;
    for (std::size_t i = 0; i < kStopSignals.size(); ++i) {
      sigaction(kStopSignals[i], nullptr, &before_[i]);
      // What the caller was told to ignore (nohup) stays ignored.
      if (before_[i].sa_handler != SIG_IGN) sigaction(kStopSignals[i], &action, nullptr);
    }
  }
  ~StopSignals() { Restore(); }
  StopSignals(const StopSignals&) = delete;
  StopSignals& operator=(const StopSignals&) = delete;

  void Restore() const {
    for (std::size_t i = 0; i < kStopSignals.size(); ++i) {
      sigaction(kStopSignals[i], &before_[i], nullptr);
    }
    sigprocmask(SIG_SETMASK, &mask_, nullptr);
  }

  [[nodiscard]] const sigset_t& waiting_mask() const { return mask_; }

 private:
  sigset_t mask_{};
  std::array<struct sigaction, kStopSignals.size()> before_{};
};

struct Job {
  std::size_t index = 0;
  pid_t process = -1;
  int socket = -1;
  std::string received;
  bool asked = false;
  bool let_through = false;
  double asked_bytes = 0;
};

void SendAll(int socket, const std::string& bytes) {
  std::size_t sent = 0;
  while (sent < bytes.size()) {
    const ssize_t n = send(socket, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) _exit(1);  // Nobody is left to report to.
    sent += static_cast<std::size_t>(n);
  }
}

class Pool {
 public:
  Pool(const PoolOptions& options, const Work& work) : options_(options), work_(work) {}
  ~Pool() {
    for (const Job& job : running_) kill(job.process, SIGKILL);
    for (const Job& job : running_) {
      waitpid(job.process, nullptr, 0);
      close(job.socket);
    }
  }
  Pool(const Pool&) = delete;
  Pool& operator=(const Pool&) = delete;

  int Run(std::size_t count, const std::function<void(const JobEnd&)>& on_end) {
    std::size_t next = 0;
    while (stop_signal == 0 && (next < count || !running_.empty())) {
      while (next < count && running_.size() < static_cast<std::size_t>(options_.jobs)) {
        Start(next++);
      }
      LetThrough();
      Wait(on_end);
    }
    return stop_signal;
  }

 private:
  void Start(std::size_t index) {
    std::array<int, 2> ends{};
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends.data()) != 0) Refuse();
    std::cout.flush();
    std::cerr.flush();
    std::fflush(nullptr);
    const pid_t parent = getpid();
    const pid_t process = fork();
    if (process < 0) Refuse();
    if (process == 0) {
      close(ends[0]);
      BeJob(index, ends[1], parent);
    }
    close(ends[1]);
    running_.push_back({index, process, ends[0], {}, false, false, 0});
  }

  [[noreturn]] static void Refuse() {
    throw OutputError(std::string("no process can be started (") + std::strerror(errno) +
                      "); give fewer --jobs, or end other programs");
  }

  [[noreturn]] void BeJob(std::size_t index, int socket, pid_t parent) const {
    // The job ends with the parent, also where that was killed just now.
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    if (getppid() != parent) _exit(1);
    signals_.Restore();
    // A terminal interrupts all of the group; the parent decides what to do.
    signal(SIGINT, SIG_IGN);
    for (const Job& other : running_) close(other.socket);
    std::string report(1, kReport);
    try {
      report += work_(index, MemoryGate(socket));
    } catch (...) {
    }
    SendAll(socket, report);
    // Nothing of the parent's is to be written or undone twice.
    _exit(0);
  }

  void LetThrough() {
    double taken_bytes = 0;
    bool any = false;
    for (const Job& job : running_) {
      if (!job.let_through) continue;
      any = true;
      taken_bytes += job.asked_bytes;
    }
    for (Job& job : running_) {
      if (!job.asked || job.let_through) continue;
      const bool fits =
          !options_.memory_bytes || taken_bytes + job.asked_bytes <= *options_.memory_bytes;
      if (any && !fits) continue;
      job.let_through = any = true;
      taken_bytes += job.asked_bytes;
      const ssize_t ignored = send(job.socket, &kMemory, 1, MSG_NOSIGNAL);
      static_cast<void>(ignored);  // Its end shows when waiting.
    }
  }

  void Wait(const std::function<void(const JobEnd&)>& on_end) {
    std::vector<pollfd> sockets;
    for (const Job& job : running_) sockets.push_back({job.socket, POLLIN, 0});
    if (ppoll(sockets.data(), sockets.size(), nullptr, &signals_.waiting_mask()) <= 0) return;
    std::vector<Job> still;
    std::vector<Job> ended;
    for (std::size_t i = 0; i < sockets.size(); ++i) {
      const bool open = sockets[i].revents == 0 || Receive(running_[i]);
      (open ? still : ended).push_back(std::move(running_[i]));
    }
    running_ = std::move(still);
    for (const Job& job : ended) on_end(Reap(job));
  }

  // @return  whether the job still holds its end.
  static bool Receive(Job& job) {
    std::array<char, 4096> buffer{};
    const ssize_t n = recv(job.socket, buffer.data(), buffer.size(), MSG_DONTWAIT);
    if (n < 0) return errno == EAGAIN || errno == EINTR;
    job.received.append(buffer.data(), static_cast<std::size_t>(n));
    if (job.received.size() >= kMemoryMessage && job.received.front() == kMemory) {
      std::memcpy(&job.asked_bytes, job.received.data() + 1, sizeof job.asked_bytes);
      job.received.erase(0, kMemoryMessage);
      job.asked = true;
    }
    return n > 0;
  }

  static JobEnd Reap(const Job& job) {
    JobEnd end;
    end.index = job.index;
    int status = 0;
    rusage usage{};
    while (wait4(job.process, &status, 0, &usage) < 0 && errno == EINTR) {
    }
    close(job.socket);
    if (WIFSIGNALED(status)) end.signal = WTERMSIG(status);
    const bool whole =
        WIFEXITED(status) && WEXITSTATUS(status) == 0 && job.received.starts_with(kReport);
    if (whole) end.report = job.received.substr(1);
    end.peak_bytes = 1024.0 * static_cast<double>(usage.ru_maxrss);
    return end;
  }

  const PoolOptions& options_;
  const Work& work_;
  StopSignals signals_;
  std::vector<Job> running_;
};

}  // namespace

void MemoryGate::Ask(double bytes) const {
  std::string message(kMemoryMessage, kMemory);
  std::memcpy(message.data() + 1, &bytes, sizeof bytes);
  SendAll(socket_, message);
  char answer = 0;
  while (recv(socket_, &answer, 1, 0) < 0 && errno == EINTR) {
  }
}

int RunJobs(std::size_t count,
            const PoolOptions& options,
            const Work& work,
            const std::function<void(const JobEnd&)>& on_end) {
  return Pool(options, work).Run(count, on_end);
}

}  // namespace ohmglow::batch
