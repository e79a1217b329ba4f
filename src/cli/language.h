// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cli/arguments.h"

namespace ohmglow::cli {

/// --language for a command's table.
[[nodiscard]] TextOption LanguageOption();

/// The language in which a command speaks: that of --language, else that of the locale
/// (POSIX.1-2017, Base Definitions 8.2: LC_ALL before LC_MESSAGES before LANG, the first that
/// is not empty), else English.
/// @throws OptionError  where --language names one that there is not.
[[nodiscard]] std::string Language(const Arguments& arguments);

}  // namespace ohmglow::cli
