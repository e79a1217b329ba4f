// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string_view>
#include <vector>

#include "cli/arguments.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/case_files.h"
#include "ohmglow/input/survey.h"

namespace ohmglow::cli {

/// A case, and the files it was read from.
struct OpenedCase {
  Case job;
  std::vector<NamedFiles> files;
};

/// A command's options, with those that say what is what in a folder.
[[nodiscard]] std::vector<TextOption> WithChoice(std::vector<TextOption> options);

/// Nothing is said but that our own results are never a folder's input.
[[nodiscard]] SurveyChoice LeavingOurResults();

/// What was said of the folder, beyond LeavingOurResults().
[[nodiscard]] SurveyChoice ReadChoice(const Arguments& arguments);

/// Reads a case file as it stands; of a folder, its case file completed from
/// what lies there, or all of it.
/// @throws InputError; OptionError  where `choice` says something of a case file.
[[nodiscard]] OpenedCase OpenCase(const std::filesystem::path& place, const SurveyChoice& choice);

}  // namespace ohmglow::cli
