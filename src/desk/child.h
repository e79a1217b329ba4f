// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::desk {

/// Another program at work, whose lines are read. Goes with this object.
class Child {
 public:
  /// @param arguments  without the program itself.
  /// @param folder     in which it works.
  /// @param input      what it reads.
  /// @throws OutputError  where it cannot be started.
  Child(const std::filesystem::path& program,
        const std::vector<std::string>& arguments,
        const std::filesystem::path& folder,
        const std::string& input);
  /// Asks it to end and waits until it has; one that does not obey in 20 s is killed.
  ~Child();
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  /// The next line of what it says, errors too; nothing where there is none in that time.
  [[nodiscard]] std::optional<std::string> Line(int wait_ms);
  /// Whether it has said all.
  [[nodiscard]] bool silent() const { return closed_; }
  /// Waits for its end. @return  its exit code; -1 where a signal ended it.
  [[nodiscard]] int Wait();

 private:
  pid_t child_ = -1;
  int out_ = -1;
  bool closed_ = false;
  std::string text_;  // Read, but no whole line yet.
};

}  // namespace ohmglow::desk
