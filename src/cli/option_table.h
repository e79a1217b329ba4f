// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "ohmglow/locate.h"

namespace ohmglow::cli {

/// What the command line may change: the stages' options, and what belongs to
/// the program alone.
struct Settings {
  LocateOptions locate;
  int threads = 0;  ///< 0: one a core.
};

/// One option with a number: the only place that ties a name on the command
/// line to a field, its range and its help. Defaults are those of the structs.
struct NumberOption {
  using WholeField = int& (*)(Settings&);
  using RealField = double& (*)(Settings&);

  std::string_view name;  ///< Without the dashes.
  std::variant<WholeField, RealField> field;
  double low;   ///< Least value allowed.
  double high;  ///< Largest value allowed.
  std::string_view help;
};

/// All of them, in the order of the help text.
[[nodiscard]] std::span<const NumberOption> NumberOptions();

/// Reads `text` into the option's field.
/// @throws OptionError  naming option, value and range.
void SetNumber(const NumberOption& option, const std::string& text, Settings& settings);

/// The default, as the help shows it.
[[nodiscard]] std::string DefaultText(const NumberOption& option);

/// The range, as help and errors show it: "1 to 50".
[[nodiscard]] std::string RangeText(const NumberOption& option);

/// The known name that needs the fewest insertions, deletions, replacements
/// and swaps of neighbours to become `name`; the first of equals.
/// @param known  not empty.
[[nodiscard]] std::string Closest(std::string_view name, const std::vector<std::string>& known);

/// The closest of them where that may be a slip of the pen (a third of the
/// word at most); empty elsewhere.
[[nodiscard]] std::string Near(std::string_view name, const std::vector<std::string>& known);

}  // namespace ohmglow::cli
