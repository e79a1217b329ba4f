// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <exception>
#include <mutex>
#include <opencv2/core/utility.hpp>

namespace ohmglow::internal {

/// work(0), work(1), ... work(count - 1), in any order, on as many threads as may
/// be used (cv::setNumThreads). Each call writes what no other one reads, so that
/// the result does not depend on the number of threads.
/// @throws what one of the calls threw; the rest may then not have been made.
template <typename Work>
void InParallel(int count, const Work& work) {
  std::exception_ptr error;
  std::mutex mutex;
  cv::parallel_for_({0, count}, [&](const cv::Range& range) {
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
