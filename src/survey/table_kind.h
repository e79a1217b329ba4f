// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "ohmglow/base/clause.h"

namespace ohmglow {

/// What a table of a capture may be.
enum class TableKind {
  kNone,      ///< No table, or one of something else.
  kLog,       ///< Of the supply.
  kSteps,     ///< Currents in order, noted by hand.
  kTimes,     ///< Of the frames.
  kPoints,    ///< Landmarks.
  kParts,     ///< Placement list.
  kContacts,  ///< Of the supply's leads.
  kSurface,   ///< Places of another emissivity.
  kFrames     ///< Numbers of a picture.
};

struct TableGuess {
  TableKind kind = TableKind::kNone;
  Clause why = {};  ///< Half a line: what in the table says so.
};

/// Tells by header and cells. Pure: any bytes give an answer.
/// @param bytes  the beginning of a text file, cut at a line's end.
[[nodiscard]] TableGuess GuessTable(std::string_view bytes);

}  // namespace ohmglow
