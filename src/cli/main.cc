// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cstdlib>
#include <iostream>

#include "cli/command_line.h"
#include "cli/exit_code.h"
#include "cli/process.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/video_module.h"

namespace ohmglow::cli {
namespace {

ExitCode Run(const CommandRequest& request) { return request.command->run(request.arguments); }

ExitCode Run(const TextRequest& request) {
  std::cout << request.text;
  return ExitCode::kDone;
}

int Main(const std::vector<std::string>& arguments) {
  try {
    SilenceOpenCv();
    if (const char* const folder = std::getenv("OHMGLOW_MODULES")) SetVideoModuleFolder(folder);
    const ExitCode code =
        std::visit([](const auto& what) { return Run(what); }, ParseCommandLine(arguments));
    std::cout.flush();
    if (!std::cout) throw OutputError("standard output cannot be written; check free space");
    return static_cast<int>(code);
  } catch (const std::exception& error) {
    std::cerr << LineOf(error) << '\n';
    return static_cast<int>(CodeOf(error));
  }
}

}  // namespace
}  // namespace ohmglow::cli

int main(int argc, char** argv) { return ohmglow::cli::Main({argv + 1, argv + argc}); }
