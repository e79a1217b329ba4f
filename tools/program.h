// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <boost/program_options.hpp>
#include <exception>
#include <iostream>
#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow::tools {

enum ExitCode { kDone = 0, kInternal = 1, kOptions = 2, kInput = 3, kData = 4, kOutput = 5 };

/// Runs a tool; an error becomes one line that names the tool, and its exit code.
template <typename Run>
int RunProgram(const std::string& name, const Run& run) {
  const auto fail = [&](const std::exception& e, ExitCode code) {
    std::cerr << name << ": " << e.what() << '\n';
    return static_cast<int>(code);
  };
  try {
    return run();
  } catch (const boost::program_options::error& e) {
    return fail(e, kOptions);
  } catch (const OptionError& e) {
    return fail(e, kOptions);
  } catch (const InputError& e) {
    return fail(e, kInput);
  } catch (const DataError& e) {
    return fail(e, kData);
  } catch (const OutputError& e) {
    return fail(e, kOutput);
  } catch (const std::exception& e) {
    return fail(e, kInternal);
  }
}

}  // namespace ohmglow::tools
