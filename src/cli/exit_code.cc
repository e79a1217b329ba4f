// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/exit_code.h"

#include <new>
#include <opencv2/core.hpp>

#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

bool IsOutOfMemory(const std::exception& error) {
  if (dynamic_cast<const std::bad_alloc*>(&error) != nullptr) return true;
  const auto* cv_error = dynamic_cast<const cv::Exception*>(&error);
  return cv_error != nullptr && cv_error->code == cv::Error::StsNoMem;
}

}  // namespace

ExitCode CodeOf(const std::exception& error) {
  if (dynamic_cast<const OptionError*>(&error) != nullptr) return ExitCode::kOptions;
  if (dynamic_cast<const InputError*>(&error) != nullptr) return ExitCode::kInput;
  if (dynamic_cast<const DataError*>(&error) != nullptr) return ExitCode::kData;
  if (dynamic_cast<const OutputError*>(&error) != nullptr) return ExitCode::kOutput;
  return ExitCode::kInternal;
}

std::string LineOf(const std::exception& error) {
  if (IsOutOfMemory(error)) {
    return "ohmglow: the memory does not suffice; close other programs, use --threads 1, or give "
           "fewer or smaller frames";
  }
  std::string line = "ohmglow: ";
  if (CodeOf(error) == ExitCode::kInternal) line += "internal error, please report it: ";
  return OneLine(line + error.what());
}

}  // namespace ohmglow::cli
