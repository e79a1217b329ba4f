// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <exception>
#include <string>

namespace ohmglow::cli {

/// What the program returns to the shell.
enum class ExitCode {
  kDone = 0,      ///< "Nothing found" is an answer, too.
  kInternal = 1,  ///< A fault of the program itself.
  kOptions = 2,
  kInput = 3,
  kData = 4,
  kOutput = 5,
  kSomeFailed = 6,    ///< Of a batch, or left out of it; the other cases are done.
  kWithWarnings = 7,  ///< Of a check: usable, but better done again; of a recording: stopped.
};

struct ExitCodeText {
  ExitCode code;
  const char* meaning;
};

/// The list shown by --help.
inline constexpr std::array<ExitCodeText, 8> kExitCodes{{
    {ExitCode::kDone, "done; \"nothing found\" is an answer, too"},
    {ExitCode::kInternal, "internal error of the program, or not enough memory"},
    {ExitCode::kOptions, "unknown command or option, or a value out of range"},
    {ExitCode::kInput, "a file is missing, malformed or contradicts another one"},
    {ExitCode::kData, "well-formed measurements that are unfit for the method"},
    {ExitCode::kOutput, "the result could not be written"},
    {ExitCode::kSomeFailed, "some cases of a batch failed or were left out; the others are done"},
    {ExitCode::kWithWarnings, "a checked capture has warnings, a new case a question; or a guard stopped a recording"},
}};

/// The code for an exception that reached main().
[[nodiscard]] ExitCode CodeOf(const std::exception& error);

/// The line for standard error, without its end: control characters (a file
/// name may hold them) become blanks, so that it stays one line.
[[nodiscard]] std::string LineOf(const std::exception& error);

}  // namespace ohmglow::cli
