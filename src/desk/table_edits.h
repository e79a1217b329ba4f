// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "desk/capture.h"
#include "desk/changes.h"

namespace ohmglow::desk {

/// A table of the case and what it is to hold.
struct TableChange {
  std::string key;       ///< "board.points"
  std::string fallback;  ///< What it is called where the case names none.
  std::string version;   ///< Of what the page has shown.
  std::string empty;     ///< The table without rows: what an undo leaves of a new one.
  std::string text;
};

/// The files of a change: the tables, and the case file where it does not name one of them yet.
[[nodiscard]] std::vector<Edit> EditsOf(const Capture& capture,
                                        const std::vector<TableChange>& changes);

}  // namespace ohmglow::desk
