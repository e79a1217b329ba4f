// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "cli/option_table.h"

namespace ohmglow::cli {

/// An option that takes a text, or a switch.
struct TextOption {
  std::string_view name;   ///< Without the dashes.
  std::string_view value;  ///< What the help calls its value: "DIR"; empty: a switch.
  std::string_view help;
};

/// All that help and parser must know of a command.
struct Syntax {
  std::string_view name;
  std::string_view does;   ///< Half a line, for the list of commands.
  std::string_view usage;  ///< Lines "  ohmglow NAME ...\n".
  std::string_view about;  ///< Lines of the help between usage and options.
  std::vector<TextOption> options;
  bool numbers = false;  ///< Takes the options of NumberOptions() as well.
};

/// Where a result goes: a folder, standard output, or both.
struct OutputChoice {
  std::string out;              ///< Empty: no result folder.
  bool json_to_output = false;  ///< The result's JSON instead of the summary.
};

/// What was given to a command.
class Arguments {
 public:
  /// @throws OptionError  one line; unknown names come with the closest known one.
  Arguments(const Syntax& syntax, const std::vector<std::string>& arguments);

  [[nodiscard]] bool wants_help() const { return has("help"); }
  [[nodiscard]] bool has(const std::string& name) const { return values_.count(name) != 0; }
  /// The option's text; empty where it is not given, never where it is.
  [[nodiscard]] std::string Text(const std::string& name) const;
  /// As Text().
  /// @throws OptionError  "give --name VALUE: `what_for`".
  [[nodiscard]] std::string Needed(const std::string& name, const std::string& what_for) const;
  /// A whole number of an option that takes a text; `fallback` where it is not given.
  /// @throws OptionError  naming option, value and range.
  [[nodiscard]] int Whole(const std::string& name, int low, int high, int fallback) const;
  /// What stands without an option.
  [[nodiscard]] const std::vector<std::string>& places() const { return places_; }
  /// The same, exactly `count` of them.
  /// @throws OptionError  saying what is missing or too much.
  [[nodiscard]] const std::vector<std::string>& Places(std::size_t count,
                                                       const std::string& what) const;
  /// What --out and "--json -" ask for.
  /// @throws OptionError  where neither is given, or --json names a file.
  [[nodiscard]] OutputChoice Output() const;
  /// Whether "--json -" is given.
  /// @throws OptionError  where --json names a file.
  [[nodiscard]] bool WantsJson() const;
  /// The number options over their defaults.
  [[nodiscard]] Settings ReadSettings() const;

 private:
  const Syntax* syntax_;
  std::map<std::string, std::string> values_;
  std::vector<std::string> places_;
};

}  // namespace ohmglow::cli
