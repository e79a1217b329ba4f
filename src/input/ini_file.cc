// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ini_file.h"

#include <algorithm>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

bool IsBlank(char c) { return c == ' ' || c == '\t'; }

// The part of a value before its comment.
std::string_view WithoutComment(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (i > 0 && !IsBlank(text[i - 1])) continue;
    if (text[i] == ';') return text.substr(0, i);
    if (text[i] == '#' && (i + 1 == text.size() || IsBlank(text[i + 1]))) return text.substr(0, i);
  }
  return text;
}

std::string Value(std::string_view text) {
  text = Trim(text);
  if (text.starts_with('"')) {
    const std::size_t end = text.find('"', 1);
    if (end != std::string_view::npos && Trim(WithoutComment(text.substr(end + 1))).empty()) {
      return std::string(text.substr(1, end - 1));
    }
  }
  return std::string(Trim(WithoutComment(text)));
}

std::string SectionOf(std::string_view name) {
  const std::size_t dot = name.find('.');
  return std::string(dot == std::string_view::npos ? "" : name.substr(0, dot));
}

std::string KeyOf(std::string_view name) {
  const std::size_t dot = name.find('.');
  return std::string(dot == std::string_view::npos ? name : name.substr(dot + 1));
}

}  // namespace

IniFile::IniFile(std::filesystem::path file, std::span<const std::string> known)
    : file_(std::move(file)) {
  Parse(ReadTextFile(file_), known);
}

IniFile::IniFile(std::filesystem::path shown,
                 std::string_view text,
                 std::span<const std::string> known)
    : file_(std::move(shown)) {
  Parse(text, known);
}

void IniFile::Parse(std::string_view text, std::span<const std::string> known) {
  std::string section;
  std::size_t begin = 0;
  for (int line = 1; begin < text.size(); ++line) {
    std::size_t end = text.find_first_of("\r\n", begin);
    if (end == std::string_view::npos) end = text.size();
    AddLine(Trim(text.substr(begin, end - begin)), line, section, known);
    begin = end + (text.compare(end, 2, "\r\n") == 0 ? 2 : 1);
  }
}

std::optional<IniEntry> IniFile::Find(std::string_view name) const {
  const auto found = std::find_if(
      entries_.begin(), entries_.end(), [&](const IniEntry& e) { return e.name == name; });
  if (found == entries_.end()) return std::nullopt;
  return *found;
}

std::string IniFile::Where(const IniEntry& entry) const {
  return file_.string() + ", line " + std::to_string(entry.line) + ": " + entry.name;
}

void IniFile::AddLine(std::string_view text,
                      int line,
                      std::string& section,
                      std::span<const std::string> known) {
  if (text.empty() || text[0] == ';' || text[0] == '#') return;
  if (text[0] == '[') return OpenSection(text, line, section, known);
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) {
    Fail(line, Quoted(text) + " is neither [section] nor key = value; correct or remove it");
  }
  const std::string key(Trim(text.substr(0, equals)));
  if (key.empty()) Fail(line, "there is no key before '='; write key = value");
  IniEntry entry{section.empty() ? key : section + "." + key, Value(text.substr(equals + 1)), line};
  CheckName(entry, known);
  if (const auto earlier = Find(entry.name)) {
    Fail(line,
         entry.name + " is given twice, first in line " + std::to_string(earlier->line) +
             "; keep one");
  }
  entries_.push_back(std::move(entry));
}

void IniFile::OpenSection(std::string_view text,
                          int line,
                          std::string& section,
                          std::span<const std::string> known) const {
  const std::size_t end = text.find(']');
  if (end == std::string_view::npos || !Trim(WithoutComment(text.substr(end + 1))).empty()) {
    Fail(line, Quoted(text) + " is not a section; write [name]");
  }
  section = Trim(text.substr(1, end - 1));
  std::vector<std::string> sections;
  for (const std::string& name : known) {
    if (!SectionOf(name).empty()) sections.push_back(SectionOf(name));
  }
  if (std::find(sections.begin(), sections.end(), section) != sections.end()) return;
  Fail(line,
       "unknown section [" + section + "]; the closest known one is [" +
           Closest(section, sections) + "]");
}

void IniFile::CheckName(const IniEntry& entry, std::span<const std::string> known) const {
  if (std::find(known.begin(), known.end(), entry.name) != known.end()) return;
  const std::string section = SectionOf(entry.name);
  const std::string key = KeyOf(entry.name);
  std::vector<std::string> siblings;
  for (const std::string& name : known) {
    if (KeyOf(name) == key)
      Fail(entry.line, "unknown key " + Quoted(entry.name) + "; '" + key + "' stands as " + name);
    if (SectionOf(name) == section) siblings.push_back(name);
  }
  const std::span<const std::string> pool =
      siblings.size() < 2 ? known : std::span<const std::string>(siblings);
  Fail(entry.line,
       "unknown key " + Quoted(entry.name) + "; the closest known one is " +
           Closest(entry.name, pool));
}

void IniFile::Fail(int line, const std::string& what) const {
  throw InputError(file_.string() + ", line " + std::to_string(line) + ": " + what);
}

}  // namespace ohmglow
