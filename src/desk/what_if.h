// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <string>
#include <vector>

#include "ohmglow/input/case.h"

namespace ohmglow::desk {

/// What is left out of a case, to see what the answer becomes.
struct LeftOut {
  struct Span {
    double from_s = 0;
    double to_s = 0;
  };
  std::set<std::size_t> contacts;  ///< By their rows.
  std::set<std::string> parts;     ///< By their names.
  std::vector<Span> spans;         ///< Frames taken in them, on the frames' clock.
};

/// The case without it; the frames that stay are read from the same source.
/// @throws OptionError  where too few frames would stay.
[[nodiscard]] Case Without(Case job, const LeftOut& out);

}  // namespace ohmglow::desk
