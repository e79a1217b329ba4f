// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

Case LoadCase(const std::filesystem::path& case_file) {
  throw InputError(case_file.string() + ": cannot be read yet");
}

}  // namespace ohmglow
