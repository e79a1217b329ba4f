// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <exception>
#include <mutex>
#include <opencv2/core/utility.hpp>

#ifdef __SANITIZE_THREAD__
#include <algorithm>
#include <thread>
#include <vector>
#endif

namespace ohmglow::internal {

/// body(range) for ranges that make up 0 .. count - 1, on as many threads as may be used
/// (cv::setNumThreads); the body throws nothing.
/// @param num_pieces  about so many ranges; below 1: as OpenCV likes.
template <typename Body>
void InRanges(int count, const Body& body, double num_pieces = -1) {
#ifdef __SANITIZE_THREAD__
  // The thread sanitizer does not see how OpenCV's threads hand work over: plain ones it sees.
  const int ranges = num_pieces > 0 && num_pieces < 2 ? 1 : std::min(count, cv::getNumThreads());
  std::vector<std::thread> others;
  for (int i = 1; i < ranges; ++i) {
    others.emplace_back([&, i] { body(cv::Range(count * i / ranges, count * (i + 1) / ranges)); });
  }
  if (count > 0) body(cv::Range(0, ranges > 1 ? count / ranges : count));
  for (std::thread& other : others) other.join();
#else
  cv::parallel_for_({0, count}, body, num_pieces);
#endif
}

/// work(0), work(1), ... work(count - 1), in any order, on as many threads as may
/// be used (cv::setNumThreads). Each call writes what no other one reads, so that
/// the result does not depend on the number of threads.
/// @throws what one of the calls threw; the rest may then not have been made.
template <typename Work>
void InParallel(int count, const Work& work) {
  std::exception_ptr error;
  std::mutex mutex;
  InRanges(count, [&](const cv::Range& range) {
    try {
      for (int i = range.start; i < range.end; ++i) work(i);
    } catch (...) {
      // OpenCV would hand on the words alone.
      const std::lock_guard lock(mutex);
      error = std::current_exception();
    }
  });
  if (error) std::rethrow_exception(error);
}

}  // namespace ohmglow::internal
