// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <condition_variable>
#include <cstddef>
#include <exception>
#include <functional>
#include <mutex>
#include <opencv2/core/utility.hpp>
#include <thread>
#include <utility>

namespace ohmglow::internal {

/// Items that are made one after the other, a few ahead of the one that is being
/// worked on, where more than one thread may be used (cv::setNumThreads). Only
/// the maker's thread touches what the maker uses.
template <typename Item>
class MadeAhead {
 public:
  using Make = std::function<void(std::size_t, Item&)>;

  /// @param make  fills item 0, 1, ... count - 1, in this order, each once.
  MadeAhead(std::size_t count, Make make) : count_(count), make_(std::move(make)) {
    if (count > 1 && cv::getNumThreads() > 1) thread_ = std::thread([this] { MakeAll(); });
  }
  ~MadeAhead() {
    if (!thread_.joinable()) return;
    {
      const std::lock_guard lock(mutex_);
      stop_ = true;
    }
    changed_.notify_all();
    thread_.join();
  }
  MadeAhead(const MadeAhead&) = delete;
  MadeAhead& operator=(const MadeAhead&) = delete;

  /// The next item, valid until the next call; at most `count` calls.
  /// @throws whatever its maker threw.
  Item& Next() {
    if (!thread_.joinable()) {
      Item& item = items_[0];
      make_(taken_++, item);
      return item;
    }
    std::unique_lock lock(mutex_);
    ++taken_;  // Gives the item before back.
    changed_.notify_all();
    changed_.wait(lock, [this] { return made_ >= taken_ || error_; });
    if (made_ < taken_) std::rethrow_exception(error_);
    return items_[(taken_ - 1) % kItems];
  }

 private:
  static constexpr std::size_t kItems = 4;

  void MakeAll() {
    try {
      for (std::size_t i = 0; i < count_; ++i) {
        {
          // One item is in use, the others may be filled.
          std::unique_lock lock(mutex_);
          changed_.wait(lock, [&] { return stop_ || i + 1 < taken_ + kItems; });
          if (stop_) return;
        }
        make_(i, items_[i % kItems]);
        {
          const std::lock_guard lock(mutex_);
          made_ = i + 1;
        }
        changed_.notify_all();
      }
    } catch (...) {
      {
        const std::lock_guard lock(mutex_);
        error_ = std::current_exception();
      }
      changed_.notify_all();
    }
  }

  std::size_t count_;
  Make make_;
  std::array<Item, kItems> items_{};
  std::mutex mutex_;
  std::condition_variable changed_;
  std::size_t made_ = 0, taken_ = 0;
  bool stop_ = false;
  std::exception_ptr error_;
  std::thread thread_;
};

}  // namespace ohmglow::internal
