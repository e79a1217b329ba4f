// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/run.h"

#include <exception>
#include <utility>

namespace ohmglow::desk {
namespace {

// Ends the computation from within its reports; no error.
struct Stopped {};

}  // namespace

Run::~Run() {
  stop_ = true;
  if (thread_.joinable()) thread_.join();
}

bool Run::Start(std::function<Case()> open, LocateOptions options) {
  const std::lock_guard lock(mutex_);
  if (standing_.state == State::kRunning) return false;
  if (thread_.joinable()) thread_.join();  // It has ended.
  stop_ = false;
  standing_.state = State::kRunning;
  standing_.share = 0;
  standing_.error.clear();
  thread_ = std::thread([this, open = std::move(open), options = std::move(options)]() mutable {
    Work(open, std::move(options));
  });
  return true;
}

void Run::Work(const std::function<Case()>& open, LocateOptions options) {
  State state = State::kDone;
  std::string error;
  std::shared_ptr<const Found> found;
  options.progress = [this](double share) {
    if (stop_) throw Stopped{};
    const std::lock_guard lock(mutex_);
    standing_.share = share;
  };
  try {
    found = std::make_shared<const Found>(open(), options);
    if (stop_) state = State::kStopped;
  } catch (const Stopped&) {
    state = State::kStopped;
  } catch (const std::exception& caught) {
    state = State::kFailed;
    error = caught.what();
  }
  const std::lock_guard lock(mutex_);
  standing_.state = state;
  standing_.error = std::move(error);
  if (state != State::kDone) return;
  found_ = std::move(found);
  ++standing_.number;
}

Run::Standing Run::standing() const {
  const std::lock_guard lock(mutex_);
  return standing_;
}

std::shared_ptr<const Found> Run::found() const {
  const std::lock_guard lock(mutex_);
  return found_;
}

void Run::Clear() {
  const std::lock_guard lock(mutex_);
  found_.reset();
  if (standing_.state != State::kRunning) standing_.state = State::kIdle;
}

}  // namespace ohmglow::desk
