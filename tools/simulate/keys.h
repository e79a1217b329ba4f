// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

#include "scenario.h"

namespace ohmglow::simulate {

/// A key whose value is a number.
struct NumberKey {
  const char* name;
  const char* preset;
  double low, high;  ///< What is allowed.
  double Scenario::*field;
  const char* meaning;
};

/// A key whose value is a word.
struct WordKey {
  const char* name;
  const char* preset;
  const char* allowed;  ///< Empty: any text.
  std::string Scenario::*field;
  const char* meaning;
};

/// The tables of all keys of a description: one place binds names, defaults,
/// limits, fields and the text of --help.
[[nodiscard]] std::span<const NumberKey> NumberKeys();
[[nodiscard]] std::span<const WordKey> WordKeys();

}  // namespace ohmglow::simulate
