// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/case_text.h"

#include <algorithm>
#include <vector>

#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

// With its line end.
std::vector<std::string> LinesOf(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::size_t size = end == std::string_view::npos ? text.size() : end + 1;
    lines.emplace_back(text.substr(0, size));
    text.remove_prefix(size);
  }
  return lines;
}

std::string LineEndOf(std::string_view text) {
  return text.find("\r\n") == std::string_view::npos ? "\n" : "\r\n";
}

std::string Written(std::string_view value) {
  const bool fits = std::none_of(value.begin(), value.end(), [](char c) {
    return (c >= 0 && c < ' ') || c == '"' || c == 0x7f;
  });
  if (!fits) throw OptionError("a quote or a line break cannot stand in a case file");
  const bool plain = value.find_first_of(";#") == std::string_view::npos && Trim(value) == value;
  return plain ? std::string(value) : '"' + std::string(value) + '"';
}

// Where the comment behind a value begins, as the reader of case files has it.
std::size_t CommentAt(std::string_view line, std::size_t from) {
  const auto blank = [](char c) { return c == ' ' || c == '\t'; };
  const std::size_t value = line.find_first_not_of(" \t", from);
  if (value != std::string_view::npos && line[value] == '"') {
    const std::size_t quote = line.find('"', value + 1);
    if (quote != std::string_view::npos) from = quote + 1;
  }
  for (std::size_t i = from; i < line.size(); ++i) {
    if (i > from && !blank(line[i - 1])) continue;
    if (line[i] == ';') return i;
    if (line[i] == '#' && (i + 1 == line.size() || blank(line[i + 1]))) return i;
  }
  return line.size();
}

std::string Replaced(const std::string& line, std::string_view value) {
  const std::size_t size = line.find_first_of("\r\n");
  const std::string_view bare = std::string_view(line).substr(0, size);
  const std::string end = size == std::string::npos ? "" : line.substr(size);
  const std::size_t equals = bare.find('=');
  std::size_t comment = CommentAt(bare, equals + 1);
  const bool has_comment = comment < bare.size();
  // The blanks before the comment belong to it.
  while (has_comment && comment > equals + 1 &&
         (bare[comment - 1] == ' ' || bare[comment - 1] == '\t')) {
    --comment;
  }
  std::string out(bare.substr(0, equals + 1));
  out += ' ';
  out += value;
  if (has_comment) out += bare.substr(comment);
  return out + end;
}

bool IsKey(std::string_view line, std::string_view key) {
  const std::string_view bare = Trim(line);
  if (bare.empty() || bare[0] == ';' || bare[0] == '#' || bare[0] == '[') return false;
  const std::size_t equals = bare.find('=');
  return equals != std::string_view::npos && Trim(bare.substr(0, equals)) == key;
}

// The section that a line opens.
bool Opens(std::string_view line, std::string& section) {
  const std::string_view bare = Trim(line);
  if (bare.empty() || bare[0] != '[') return false;
  const std::size_t end = bare.find(']');
  if (end == std::string_view::npos) return false;
  section = Trim(bare.substr(1, end - 1));
  return true;
}

}  // namespace

std::string WithKey(std::string_view text, std::string_view name, std::string_view value) {
  const std::size_t dot = name.find('.');
  const std::string wanted(dot == std::string_view::npos ? "" : name.substr(0, dot));
  const std::string key(dot == std::string_view::npos ? name : name.substr(dot + 1));
  const std::string written = Written(value);
  const std::string line_end = LineEndOf(text);
  std::vector<std::string> lines = LinesOf(text);
  std::string section;
  // Behind the last line of the section that says something: blanks part it from the next.
  std::size_t place = wanted.empty() ? 0 : std::string::npos;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const bool opens = Opens(lines[i], section);
    if (section != wanted) continue;
    if (!opens && IsKey(lines[i], key)) {
      lines[i] = Replaced(lines[i], written);
      std::string out;
      for (const std::string& line : lines) out += line;
      return out;
    }
    if (opens || !Trim(lines[i]).empty()) place = i + 1;
  }
  const std::string line = key + " = " + written + line_end;
  if (!lines.empty() && !lines.back().ends_with('\n')) lines.back() += line_end;
  if (place == std::string::npos) {
    if (!lines.empty() && !Trim(lines.back()).empty()) lines.push_back(line_end);
    lines.push_back("[" + wanted + "]" + line_end);
    lines.push_back(line);
  } else {
    lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(place), line);
  }
  std::string out;
  for (const std::string& each : lines) out += each;
  return out;
}

}  // namespace ohmglow::desk
