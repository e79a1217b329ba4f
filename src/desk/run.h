// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

#include "desk/found.h"

namespace ohmglow::desk {

/// One computation at a time, beside the page.
class Run {
 public:
  enum class State { kIdle, kRunning, kDone, kFailed, kStopped };
  struct Standing {
    State state = State::kIdle;
    double share = 0;   ///< Of the work, 0 .. 1.
    std::string error;  ///< One line, where it failed.
    int number = 0;     ///< Counts the results up.
  };

  Run() = default;
  ~Run();
  Run(const Run&) = delete;
  Run& operator=(const Run&) = delete;

  /// @param open  reads the case, on the computation's own thread.
  /// @return  false where one is running already.
  bool Start(std::function<Case()> open, LocateOptions options);
  /// Takes effect at the next report of progress; the older result stays.
  void Stop() { stop_ = true; }

  [[nodiscard]] Standing standing() const;
  /// The newest result; empty before the first.
  [[nodiscard]] std::shared_ptr<const Found> found() const;
  /// Forgets it: another case is on the desk.
  void Clear();

 private:
  void Work(const std::function<Case()>& open, LocateOptions options);

  mutable std::mutex mutex_;
  std::atomic<bool> stop_ = false;
  Standing standing_;
  std::shared_ptr<const Found> found_;
  std::thread thread_;
};

}  // namespace ohmglow::desk
