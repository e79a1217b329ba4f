// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <iterator>
#include <limits>
#include <numeric>
#include <utility>
#include <vector>

#include "ohmglow/base/error.h"
#include "text_encoding.h"

namespace ohmglow {
namespace {

constexpr std::uintmax_t kLargestText = 64U << 20U;

// Levenshtein's; `row` is room to work in.
std::size_t EditDistance(std::string_view a, std::string_view b, std::vector<std::size_t>& row) {
  row.resize(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min(std::min(row[j], row[j - 1]) + 1, replaced);
    }
  }
  return row.back();
}

}  // namespace

std::string_view Trim(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r\n\v\f";
  const std::size_t first = text.find_first_not_of(kBlank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

std::string ToLower(std::string_view text) {
  std::string lower(text);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return lower;
}

std::optional<double> ParseNumber(std::string_view text) {
  text = Trim(text);
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, status] = std::from_chars(text.data(), end, value);
  if (status != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string FormatNumber(double value) {
  std::array<char, 64> buffer{};
  const auto [end, status] = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return status == std::errc() ? std::string(buffer.data(), end) : std::to_string(value);
}

std::string OneLine(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](unsigned char c) { return c < 0x20 || c == 0x7F; }, ' ');
  return text;
}

std::string Quoted(std::string_view text) {
  constexpr std::size_t kLongest = 60;
  std::string quoted = "'";
  for (const char c : text.substr(0, kLongest)) {
    const bool control = static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
    quoted += control ? '?' : c;
  }
  if (text.size() > kLongest) quoted += "...";
  return quoted + "'";
}

std::string Closest(std::string_view word, std::span<const std::string> candidates) {
  // A line of some kilobytes is no slip of the pen: its beginning is enough.
  constexpr std::size_t kLongest = 60;
  word = word.substr(0, kLongest);
  const std::string* closest = &candidates[0];
  std::size_t least = std::numeric_limits<std::size_t>::max();
  std::vector<std::size_t> room;
  for (const std::string& candidate : candidates) {
    const std::size_t distance = EditDistance(word, candidate, room);
    if (distance >= least) continue;
    least = distance;
    closest = &candidate;
  }
  return *closest;
}

void RequireFile(const std::filesystem::path& file, std::string_view named_by) {
  const std::string by = named_by.empty() ? "" : " (named by " + std::string(named_by) + ")";
  std::error_code error;
  const auto status = std::filesystem::status(file, error);
  if (!std::filesystem::exists(status)) {
    throw InputError(file.string() + ": no such file" + by + "; check the name and the folder");
  }
  if (std::filesystem::is_directory(status)) {
    throw InputError(file.string() + ": is a folder" + by + "; name a file in it");
  }
  if (!std::filesystem::is_regular_file(status)) {
    throw InputError(file.string() + ": is not an ordinary file" + by + "; copy it to disk first");
  }
}

std::string ReadFileBytes(const std::filesystem::path& file, std::string_view named_by) {
  RequireFile(file, named_by);
  std::ifstream stream(file, std::ios::binary);
  if (!stream) throw InputError(file.string() + ": cannot be opened; check its permissions");
  if (std::filesystem::file_size(file) > kLargestText) {
    throw InputError(file.string() + ": is larger than 64 MB, so it is hardly the right file");
  }
  std::string bytes{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
  if (stream.bad()) throw InputError(file.string() + ": cannot be read; check the disk");
  return bytes;
}

std::string ReadTextFile(const std::filesystem::path& file, std::string_view named_by) {
  std::vector<DecodedText> texts = DecodeText(ReadFileBytes(file, named_by));
  if (texts.empty()) {
    const std::string by = named_by.empty() ? "" : " (named by " + std::string(named_by) + ")";
    throw InputError(file.string() + ": is not a text file" + by +
                     "; what is wanted here is plain text");
  }
  return std::move(texts[0].utf8);
}

}  // namespace ohmglow
