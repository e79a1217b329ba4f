// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/check/capture_check.h"
#include "ohmglow/input/file_notes.h"

namespace ohmglow::testing {

/// An invented check with every value set; things to do as `usable` asks for.
[[nodiscard]] CaptureCheck MakeSampleCapture(Usable usable);

/// The files that go with it.
[[nodiscard]] std::vector<FileNote> MakeSampleFiles();

}  // namespace ohmglow::testing
