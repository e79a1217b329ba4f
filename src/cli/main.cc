// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <unistd.h>

#include <iostream>
#include <opencv2/core.hpp>
#include <opencv2/core/utils/logger.hpp>

#include "cli/command_line.h"
#include "cli/exit_code.h"
#include "cli/locate_command.h"
#include "cli/progress_line.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

// The library leaves these alone; the program decides. Messages of OpenCV
// would stand beside our own one line.
void SetGlobals(int threads) {
  cv::setNumThreads(threads == 0 ? cv::getNumberOfCPUs() : threads);
  cv::setUseOptimized(true);
}

void SilenceOpenCv() {
  cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
  cv::redirectError([](int, const char*, const char*, const char*, int, void*) { return 0; });
}

void Run(const LocateRequest& request) {
  SetGlobals(request.settings.threads);
  ProgressLine line(std::cerr);
  std::function<void(double)> progress;
  if (isatty(STDERR_FILENO) != 0) progress = [&line](double share) { line.Show(share); };
  RunLocate(request, progress, std::cout);
}

void Run(const TextRequest& request) { std::cout << request.text; }

int Main(const std::vector<std::string>& arguments) {
  try {
    SilenceOpenCv();
    std::visit([](const auto& what) { Run(what); }, ParseCommandLine(arguments));
    std::cout.flush();
    if (!std::cout) throw OutputError("standard output cannot be written; check free space");
    return static_cast<int>(ExitCode::kDone);
  } catch (const std::exception& error) {
    std::cerr << LineOf(error) << '\n';
    return static_cast<int>(CodeOf(error));
  }
}

}  // namespace
}  // namespace ohmglow::cli

int main(int argc, char** argv) { return ohmglow::cli::Main({argv + 1, argv + argc}); }
