// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "cli/command_line.h"

namespace ohmglow::cli {

/// What may follow an option.
enum class ValueKind { kNone, kFolder, kFile, kChoice, kOther };

/// An option as a shell sees it.
struct CompletionOption {
  std::string name;  ///< Without the dashes.
  std::string help;
  ValueKind kind = ValueKind::kNone;
  std::vector<std::string> choices;  ///< Of kChoice.
};

/// All options of a command, --help last.
[[nodiscard]] std::vector<CompletionOption> CompletionOptions(const Syntax& syntax);

/// What may stand without an option, where that is no file: the topics of help.
[[nodiscard]] std::vector<std::string> CompletionTopics(const Syntax& syntax);

/// The words with blanks between them.
[[nodiscard]] std::string Joined(const std::vector<std::string>& words);

/// In single quotes, as all three shells read them.
[[nodiscard]] std::string Quote(const std::string& text, const std::string& quote_inside);

}  // namespace ohmglow::cli
