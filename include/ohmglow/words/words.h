// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmglow {

/// The words of the customer's page, or of reports, in one language: one `key = text`
/// a line, `#` starts a comment line, `{name}` is filled in. What a catalogue lacks is
/// taken from the English one of the same kind and marked with kFallbackSign.
class Words {
 public:
  using Values = std::vector<std::pair<std::string_view, std::string>>;

  /// Stands after a text that is English because the catalogue lacks it.
  static constexpr std::string_view kFallbackSign = " [en]";

  /// Of the customer's page, English.
  Words();

  /// The languages that come with the program: "en", "de".
  [[nodiscard]] static std::vector<std::string> Languages();

  /// Of the customer's page.
  /// @throws OptionError  where the language does not come with the program.
  [[nodiscard]] static Words BuiltIn(std::string_view language);

  /// Of reports: summaries, remarks, advice, comparison.
  /// @throws OptionError  where the language does not come with the program.
  [[nodiscard]] static const Words& Report(std::string_view language = "en");

  /// A catalogue of the page of the user's own (UTF-8).
  /// @param name  of the file, for messages.
  /// @throws InputError  naming file and line: no `key = text`, a repeated key,
  ///         a {name} that the key does not have, an open brace.
  [[nodiscard]] static Words Parse(std::string_view text, const std::string& name);

  /// The text, without filling in.
  [[nodiscard]] std::string Get(std::string_view key) const;

  /// Whether English, and so every language, has the key.
  [[nodiscard]] bool Has(std::string_view key) const;

  /// The {names} of the text, in order.
  [[nodiscard]] std::vector<std::string> Names(std::string_view key) const;

  /// The text with its {names} replaced; a name without a value stays. A value
  /// that runs in the other direction is isolated (Unicode UAX #9, 2.4), so that
  /// it leaves the rest of the sentence alone.
  [[nodiscard]] std::string Fill(std::string_view key, const Values& values) const;

  /// Keys that are taken from English.
  [[nodiscard]] std::vector<std::string> Missing() const;
  /// Keys of the catalogue that nothing uses.
  [[nodiscard]] std::vector<std::string> Unknown() const;
  /// Whether the language is written from right to left.
  [[nodiscard]] bool RightToLeft() const;

 private:
  using Texts = std::map<std::string, std::string, std::less<>>;

  explicit Words(std::string_view book);

  Texts texts_;
  const Texts* english_;  // Of the same book, for what is missing.
};

}  // namespace ohmglow
