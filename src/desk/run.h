// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <exception>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <utility>

namespace ohmglow::desk {

/// How far a computation is.
struct Standing {
  enum class State { kIdle, kRunning, kDone, kFailed, kStopped };
  State state = State::kIdle;
  double share = 0;   ///< Of the work, 0 .. 1.
  std::string error;  ///< One line, where it failed.
  int number = 0;     ///< Counts the results up.
  bool has = false;   ///< Whether there is one.
};

/// One kind of computation beside the page, one at a time. It is stopped from within its own
/// reports of progress.
template <typename Result>
class Run {
 public:
  using Progress = std::function<void(double)>;
  using Make = std::function<std::shared_ptr<const Result>(const Progress& progress)>;

  Run() = default;
  ~Run() {
    stop_ = true;
    if (thread_.joinable()) thread_.join();
  }
  Run(const Run&) = delete;
  Run& operator=(const Run&) = delete;

  /// @param make  runs on a thread of its own; what it throws is told in standing().
  /// @return      false where one is running already.
  bool Start(Make make) {
    const std::lock_guard lock(mutex_);
    if (standing_.state == Standing::State::kRunning) return false;
    if (thread_.joinable()) thread_.join();  // It has ended.
    stop_ = false;
    standing_.state = Standing::State::kRunning;
    standing_.share = 0;
    standing_.error.clear();
    thread_ = std::thread([this, make = std::move(make)] { Work(make); });
    return true;
  }

  /// Takes effect at the next report of progress; the older result stays.
  void Stop() { stop_ = true; }

  [[nodiscard]] Standing standing() const {
    const std::lock_guard lock(mutex_);
    Standing standing = standing_;
    standing.has = result_ != nullptr;
    return standing;
  }

  [[nodiscard]] bool running() const { return standing().state == Standing::State::kRunning; }

  /// The newest result; empty before the first.
  [[nodiscard]] std::shared_ptr<const Result> result() const {
    const std::lock_guard lock(mutex_);
    return result_;
  }

  /// Forgets it: another case is on the desk.
  void Clear() {
    const std::lock_guard lock(mutex_);
    result_.reset();
    if (standing_.state != Standing::State::kRunning) standing_.state = Standing::State::kIdle;
  }

 private:
  // Ends the computation; no error.
  struct Stopped {};

  void Work(const Make& make) {
    Standing::State state = Standing::State::kDone;
    std::string error;
    std::shared_ptr<const Result> result;
    try {
      result = make([this](double share) {
        if (stop_) throw Stopped{};
        const std::lock_guard lock(mutex_);
        standing_.share = share;
      });
      if (stop_) state = Standing::State::kStopped;
    } catch (const Stopped&) {
      state = Standing::State::kStopped;
    } catch (const std::exception& caught) {
      state = Standing::State::kFailed;
      error = caught.what();
    }
    const std::lock_guard lock(mutex_);
    standing_.state = state;
    standing_.error = std::move(error);
    if (state != Standing::State::kDone) return;
    result_ = std::move(result);
    ++standing_.number;
  }

  mutable std::mutex mutex_;
  std::atomic<bool> stop_ = false;
  Standing standing_;
  std::shared_ptr<const Result> result_;
  std::thread thread_;
};

}  // namespace ohmglow::desk
