// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core/utility.hpp>

namespace ohmglow::internal {

/// work(0), work(1), ... work(count - 1), in any order, on as many threads as may
/// be used (cv::setNumThreads). Each call writes what no other one reads, so that
/// the result does not depend on the number of threads.
/// @param work  throws nothing.
template <typename Work>
void InParallel(int count, const Work& work) {
  cv::parallel_for_({0, count}, [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) work(i);
  });
}

}  // namespace ohmglow::internal
