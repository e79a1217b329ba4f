// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/browser.h"

#include <fcntl.h>
#include <spawn.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <fstream>

extern char** environ;

namespace ohmglow::desk {
namespace {

bool HasScreen() {
  return std::getenv("DISPLAY") != nullptr || std::getenv("WAYLAND_DISPLAY") != nullptr;
}

// Its words are none of ours; it ends by itself.
void Open(const std::string& file) {
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    posix_spawn_file_actions_addopen(&actions, stream, "/dev/null", O_RDWR, 0);
  }
  std::string program = "xdg-open";
  std::string argument = file;
  std::array<char*, 3> arguments{program.data(), argument.data(), nullptr};
  // In a session of its own, or the Ctrl-C that ends the desk would end the browser.
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  sigset_t none;
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&attributes, &none);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSID | POSIX_SPAWN_SETSIGMASK);
  pid_t child = 0;
  posix_spawnp(&child, program.c_str(), &actions, &attributes, arguments.data(), environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
}

}  // namespace

Browser::Browser(const std::string& address) {
  if (!HasScreen()) return;
  std::string folder = (std::filesystem::temp_directory_path() / "ohmglow-desk-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return;  // For this user alone.
  folder_ = folder;
  const std::filesystem::path file = folder_ / "desk.html";
  std::ofstream(file) << "<!doctype html><meta http-equiv=\"refresh\" content=\"0;url=" << address
                      << "\">\n";
  Open(file.string());
}

Browser::~Browser() {
  std::error_code ignored;
  if (!folder_.empty()) std::filesystem::remove_all(folder_, ignored);
}

}  // namespace ohmglow::desk
