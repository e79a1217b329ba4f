// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "series_pages.h"

#include <algorithm>
#include <array>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

bool HasWildcard(std::string_view text) { return text.find_first_of("*?") != std::string::npos; }

// Files of one kind have one name here: .tif and .tiff are the same.
std::string Kind(const std::filesystem::path& file) {
  const std::string extension = ToLower(file.extension().string());
  if (extension == ".tif") return ".tiff";
  constexpr std::array<std::string_view, 7> kKinds = {
      ".tiff", ".png", ".pgm", ".npy", ".raw", ".y16", ".bin"};
  return std::find(kKinds.begin(), kKinds.end(), extension) != kKinds.end() ? extension : "";
}

// The run of digits at `at` without leading zeros; moves behind it.
std::string_view TakeNumber(std::string_view text, std::size_t& at) {
  while (at < text.size() && text[at] == '0') ++at;
  const std::size_t begin = at;
  while (at < text.size() && IsDigit(text[at])) ++at;
  return text.substr(begin, at - begin);
}

void RequireFolder(const std::filesystem::path& folder) {
  std::error_code error;
  if (std::filesystem::is_directory(folder, error)) return;
  throw InputError(folder.string() + ": no such folder (named by frames.source); check its name");
}

}  // namespace

bool NaturalLess(std::string_view a, std::string_view b) {
  const std::string lower_a = ToLower(a);
  const std::string lower_b = ToLower(b);
  std::size_t i = 0;
  std::size_t j = 0;
  while (i < lower_a.size() && j < lower_b.size()) {
    if (IsDigit(lower_a[i]) && IsDigit(lower_b[j])) {
      const std::string_view number_a = TakeNumber(lower_a, i);
      const std::string_view number_b = TakeNumber(lower_b, j);
      if (number_a.size() != number_b.size()) return number_a.size() < number_b.size();
      if (number_a != number_b) return number_a < number_b;
    } else if (lower_a[i] != lower_b[j]) {
      return static_cast<unsigned char>(lower_a[i]) < static_cast<unsigned char>(lower_b[j]);
    } else {
      ++i;
      ++j;
    }
  }
  const std::size_t rest_a = lower_a.size() - i;
  const std::size_t rest_b = lower_b.size() - j;
  return rest_a != rest_b ? rest_a < rest_b : a < b;
}

bool MatchesPattern(std::string_view name, std::string_view pattern) {
  std::size_t n = 0;
  std::size_t p = 0;
  std::size_t star = std::string_view::npos;
  std::size_t resume = 0;
  while (n < name.size()) {
    if (p < pattern.size() && pattern[p] == '*') {
      star = p++;
      resume = n;
    } else if (p < pattern.size() && (pattern[p] == '?' || pattern[p] == name[n])) {
      ++n;
      ++p;
    } else if (star != std::string_view::npos) {
      p = star + 1;  // The star takes one more byte.
      n = ++resume;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == '*') ++p;
  return p == pattern.size();
}

bool IsSeries(const std::filesystem::path& source) {
  std::error_code ignored;
  if (std::filesystem::is_directory(source, ignored)) return true;
  return !std::filesystem::is_regular_file(source, ignored) && HasWildcard(source.string());
}

std::vector<std::filesystem::path> ListFrameFiles(const std::filesystem::path& source) {
  const bool by_pattern = HasWildcard(source.filename().string());
  const std::filesystem::path folder = by_pattern ? source.parent_path() : source;
  if (HasWildcard(folder.string())) {
    throw InputError(source.string() + ": only the file's name may hold * or ?, not its folder");
  }
  RequireFolder(folder.empty() ? "." : folder);
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder.empty() ? "." : folder)) {
    const std::string name = entry.path().filename().string();
    if (name.starts_with('.') || !entry.is_regular_file()) continue;
    const bool wanted =
        by_pattern ? MatchesPattern(name, source.filename().string()) : !Kind(entry.path()).empty();
    if (wanted) files.push_back(folder / name);
  }
  if (files.empty()) {
    throw InputError(source.string() +
                     (by_pattern ? ": no file fits this pattern"
                                 : ": holds no TIFF, PNG, PGM, NPY or raw file") +
                     " (named by frames.source); check the folder");
  }
  std::sort(files.begin(), files.end(), [](const auto& a, const auto& b) {
    return NaturalLess(a.filename().string(), b.filename().string());
  });
  for (const auto& file : files) {
    if (by_pattern || Kind(file) == Kind(files.front())) continue;
    throw InputError(source.string() + ": holds " + files.front().filename().string() + " and " +
                     file.filename().string() +
                     ", files of two kinds; name one kind by a pattern such as *" +
                     files.front().extension().string());
  }
  return files;
}

SeriesPages::SeriesPages(std::vector<std::filesystem::path> files, RawSize raw)
    : files_(std::move(files)), raw_(raw) {
  for (const auto& file : files_) {
    const auto pages = OpenCountFile(ByteSource(file, "frames.source"), raw_);
    if (pages->count() != 1) {
      throw InputError(file.string() + ": holds " + std::to_string(pages->count()) +
                       " pages, but files of a series hold one each; name this file alone as "
                       "frames.source, or split it");
    }
    if (&file == &files_.front()) {
      size_px_ = pages->size_px();
      type_ = pages->type();
    } else if (pages->size_px() != size_px_ || pages->type() != type_) {
      throw InputError(file.string() + ": is " + std::to_string(pages->size_px().width) + " x " +
                       std::to_string(pages->size_px().height) + " px and the first file " +
                       std::to_string(size_px_.width) + " x " + std::to_string(size_px_.height) +
                       " px, or of another sample type; all frames must be alike");
    }
  }
}

void SeriesPages::Read(int page, cv::Mat& counts) {
  const auto& file = files_[static_cast<std::size_t>(page)];
  OpenCountFile(ByteSource(file, "frames.source"), raw_)->Read(0, counts);
  if (counts.size() != size_px_ || counts.type() != type_) {
    throw InputError(file.string() + ": was changed while it was being read; start again");
  }
}

}  // namespace ohmglow
