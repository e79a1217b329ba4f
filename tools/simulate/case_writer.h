// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

#include "capture.h"
#include "scenario.h"

namespace ohmglow::simulate {

/// Makes one case: the folder out/case (case.ini and all it names, the tables
/// with a person's small errors) and beside it out/truth.json. The same
/// scenario gives the same bytes.
/// @throws OutputError  naming the file that cannot be written.
/// @throws DataError    if the board offers no place for a fault.
void WriteCase(const Scenario& scenario, const std::filesystem::path& out);

/// What is known before anything is filmed: the folder out/board (board.ini and what it
/// names) and out/truth.json, without what only a film tells.
/// @throws OutputError  as WriteCase().
void WriteBoard(const Setting& setting, const std::filesystem::path& out);

}  // namespace ohmglow::simulate
