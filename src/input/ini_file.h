// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// One `key = value` line.
struct IniEntry {
  std::string name;  ///< "section.key", or "key" before any section.
  std::string value;
  int line = 0;  ///< 1-based.
};

/// A text of sections, keys and comments. `;` and `#` start a comment at the
/// beginning of a line; within one, `;` does after a blank and `#` between
/// blanks, so that `title = board #3` stays whole. Double quotes around a value
/// keep blanks and comment signs in it.
class IniFile {
 public:
  /// @param known  every allowed name, "section.key" or "key".
  /// @throws InputError  naming file and line: a malformed line, an unknown
  ///         section or key (with the closest known one), a repeated key.
  IniFile(std::filesystem::path file, std::span<const std::string> known);
  /// The same of a text that stands in no file.
  /// @param shown  what messages call it.
  IniFile(std::filesystem::path shown, std::string_view text, std::span<const std::string> known);

  [[nodiscard]] const std::filesystem::path& file() const { return file_; }
  /// The entry, or nothing where the file does not have it.
  [[nodiscard]] std::optional<IniEntry> Find(std::string_view name) const;
  /// "file, line 7: section.key", the opening of an error message.
  [[nodiscard]] std::string Where(const IniEntry& entry) const;

 private:
  void Parse(std::string_view text, std::span<const std::string> known);
  void AddLine(std::string_view text,
               int line,
               std::string& section,
               std::span<const std::string> known);
  void OpenSection(std::string_view text,
                   int line,
                   std::string& section,
                   std::span<const std::string> known) const;
  void CheckName(const IniEntry& entry, std::span<const std::string> known) const;
  [[noreturn]] void Fail(int line, const std::string& what) const;

  std::filesystem::path file_;
  std::vector<IniEntry> entries_;
};

}  // namespace ohmglow
