// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/process.h"

#include <opencv2/core.hpp>
#include <opencv2/core/utils/logger.hpp>

namespace ohmglow::cli {

void SetThreads(int threads) {
  cv::setNumThreads(threads == 0 ? cv::getNumberOfCPUs() : threads);
  cv::setUseOptimized(true);
}

void SilenceOpenCv() {
  cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
  cv::redirectError([](int, const char*, const char*, const char*, int, void*) { return 0; });
}

}  // namespace ohmglow::cli
