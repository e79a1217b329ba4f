// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/child.h"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstring>
#include <thread>

#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

constexpr int kPatienceMs = 20000;
constexpr int kWaitMs = 50;

struct Pipe {
  Pipe() {
    if (pipe2(ends.data(), O_CLOEXEC) != 0) throw OutputError("too many files are open");
  }
  std::array<int, 2> ends{-1, -1};
};

// Signals that this program holds back must reach the other one.
pid_t Spawn(const std::filesystem::path& program,
            const std::vector<std::string>& arguments,
            const std::filesystem::path& folder,
            int input,
            int output) {
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, input, STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&actions, output, STDOUT_FILENO);
  posix_spawn_file_actions_adddup2(&actions, output, STDERR_FILENO);
  posix_spawn_file_actions_addchdir_np(&actions, folder.c_str());
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  sigset_t none;
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&attributes, &none);
  sigset_t usual;
  sigemptyset(&usual);
  sigaddset(&usual, SIGPIPE);
  posix_spawnattr_setsigdefault(&attributes, &usual);
  // In a group of its own: Ctrl-C ends the desk, and the desk ends it.
  posix_spawnattr_setflags(&attributes,
                           POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
  std::vector<std::string> texts{program.string()};
  texts.insert(texts.end(), arguments.begin(), arguments.end());
  std::vector<char*> list;
  for (std::string& text : texts) list.push_back(text.data());
  list.push_back(nullptr);
  pid_t child = -1;
  const int status =
      posix_spawn(&child, program.c_str(), &actions, &attributes, list.data(), environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
  return status == 0 ? child : -1;
}

}  // namespace

Child::Child(const std::filesystem::path& program,
             const std::vector<std::string>& arguments,
             const std::filesystem::path& folder,
             const std::string& input) {
  const Pipe in;
  const Pipe out;
  child_ = Spawn(program, arguments, folder, in.ends[0], out.ends[1]);
  close(in.ends[0]);
  close(out.ends[1]);
  out_ = out.ends[0];
  std::size_t done = 0;
  while (child_ > 0 && done < input.size()) {
    const ssize_t size = write(in.ends[1], input.data() + done, input.size() - done);
    if (size <= 0) break;  // It has ended; its exit code says why.
    done += static_cast<std::size_t>(size);
  }
  close(in.ends[1]);
  if (child_ > 0) return;
  close(out_);
  throw OutputError(program.string() + ": cannot be started");
}

Child::~Child() {
  close(out_);
  if (child_ <= 0) return;
  kill(child_, SIGTERM);
  for (int waited_ms = 0; waited_ms < kPatienceMs; waited_ms += kWaitMs) {
    if (waitpid(child_, nullptr, WNOHANG) != 0) return;
    std::this_thread::sleep_for(std::chrono::milliseconds(kWaitMs));
  }
  kill(child_, SIGKILL);
  waitpid(child_, nullptr, 0);
}

std::optional<std::string> Child::Line(int wait_ms) {
  const auto cut = [&]() -> std::optional<std::string> {
    const std::size_t end = text_.find('\n');
    if (end == std::string::npos) return std::nullopt;
    std::string line = text_.substr(0, end);
    text_.erase(0, end + 1);
    return line;
  };
  if (auto line = cut()) return line;
  pollfd look{out_, POLLIN, 0};
  if (closed_ || poll(&look, 1, wait_ms) <= 0) return std::nullopt;
  std::array<char, 4096> bytes;
  const ssize_t size = read(out_, bytes.data(), bytes.size());
  if (size > 0) {
    text_.append(bytes.data(), static_cast<std::size_t>(size));
  } else {
    closed_ = true;
  }
  return cut();
}

int Child::Wait() {
  int status = 0;
  waitpid(child_, &status, 0);
  child_ = -1;
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace ohmglow::desk
