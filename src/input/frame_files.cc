// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "frame_files.h"

#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

bool HasWildcard(std::string_view text) { return text.find_first_of("*?") != std::string::npos; }

std::string Extension(const std::string& name) {
  return ToLower(std::filesystem::path(name).extension().string());
}

// Files of one kind have one name here: .tif and .tiff are the same.
std::string Kind(const std::string& name) {
  const std::string extension = Extension(name);
  if (extension == ".tif") return ".tiff";
  if (extension == ".jpeg") return ".jpg";
  if (extension == ".fit" || extension == ".fts") return ".fits";
  constexpr std::array<std::string_view, 10> kKinds = {
      ".tiff", ".png", ".jpg", ".pgm", ".pfm", ".npy", ".fits", ".raw", ".y16", ".bin"};
  return std::find(kKinds.begin(), kKinds.end(), extension) != kKinds.end() ? extension : "";
}

bool IsTable(const std::string& name) {
  constexpr std::array<std::string_view, 6> kTables = {
      ".csv", ".tsv", ".txt", ".asc", ".dat", ".tab"};
  return std::find(kTables.begin(), kTables.end(), Extension(name)) != kTables.end();
}

// The name with every run of digits as one sign.
std::string WithoutDigits(std::string_view name) {
  std::string text;
  for (const char c : name) {
    if (!IsDigit(c)) {
      text += c;
    } else if (!text.ends_with('#')) {
      text += '#';
    }
  }
  return text;
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

// Names only: a path object for each of many files would take far more memory.
class FolderFiles final : public FrameFiles {
 public:
  FolderFiles(std::filesystem::path folder, std::vector<std::string> names)
      : folder_(std::move(folder)), names_(std::move(names)) {}

  [[nodiscard]] int count() const override { return static_cast<int>(names_.size()); }
  [[nodiscard]] std::string Name(int index) const override {
    return names_[static_cast<std::size_t>(index)];
  }
  [[nodiscard]] std::string Path(int index) const override {
    return (folder_ / Name(index)).string();
  }
  [[nodiscard]] ByteSource Open(int index) const override {
    return ByteSource(folder_ / Name(index), "frames.source");
  }
  [[nodiscard]] double Date(int index) const override {
    struct stat state {};
    if (stat(Path(index).c_str(), &state) != 0) return 0;
    return static_cast<double>(state.st_mtim.tv_sec) +
           1e-9 * static_cast<double>(state.st_mtim.tv_nsec);
  }

 private:
  std::filesystem::path folder_;
  std::vector<std::string> names_;
};

struct FolderListing {
  std::filesystem::path folder;
  std::vector<std::string> names;
};

FolderListing ListFolder(const std::filesystem::path& source) {
  const bool by_pattern = HasWildcard(source.filename().string());
  FolderListing list;
  list.folder = by_pattern ? source.parent_path() : source;
  if (HasWildcard(list.folder.string())) {
    throw InputError(source.string() + ": only the file's name may hold * or ?, not its folder");
  }
  const std::filesystem::path folder = list.folder.empty() ? "." : list.folder;
  RequireFolder(folder);
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::string name = entry.path().filename().string();
    if (name.starts_with('.') || !entry.is_regular_file()) continue;
    if (by_pattern && !MatchesPattern(name, source.filename().string())) continue;
    list.names.push_back(std::move(name));
  }
  std::sort(list.names.begin(), list.names.end(), NaturalLess);
  if (!by_pattern) KeepFrames(list.names, source.string(), "");
  if (list.names.empty()) {
    throw InputError(source.string() +
                     (by_pattern
                          ? ": no file fits this pattern"
                          : ": holds no TIFF, PNG, JPEG, PGM, PFM, NPY, FITS or raw file and no "
                            "table of numbers") +
                     " (named by frames.source); check the folder");
  }
  return list;
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

void KeepFrames(std::vector<std::string>& names,
                const std::string& where,
                const std::string& setting) {
  if (std::any_of(names.begin(), names.end(), [](const auto& n) { return !Kind(n).empty(); })) {
    std::erase_if(names, [](const auto& n) { return Kind(n).empty(); });
    for (const std::string& name : names) {
      if (Kind(name) == Kind(names.front())) continue;
      throw InputError(where + ": holds " + names.front() + " and " + name +
                       ", files of two kinds; name one kind by " +
                       (setting.empty() ? "a pattern" : setting) + " such as *" +
                       std::filesystem::path(names.front()).extension().string());
    }
    return;
  }
  std::erase_if(names, [](const auto& n) { return !IsTable(n); });
  std::map<std::string, int> groups;
  for (const std::string& name : names) ++groups[WithoutDigits(name)];
  if (groups.size() < 2) return;
  const auto largest =
      std::max_element(groups.begin(), groups.end(), [](const auto& a, const auto& b) {
        return a.second < b.second;
      });
  std::erase_if(names, [&](const auto& n) { return WithoutDigits(n) != largest->first; });
}

std::unique_ptr<FrameFiles> FilesOfFolder(const std::filesystem::path& source) {
  FolderListing list = ListFolder(source);
  return std::make_unique<FolderFiles>(std::move(list.folder), std::move(list.names));
}

std::vector<std::filesystem::path> ListFrameFiles(const std::filesystem::path& source) {
  const FolderListing list = ListFolder(source);
  std::vector<std::filesystem::path> files;
  for (const std::string& name : list.names) files.push_back(list.folder / name);
  return files;
}

}  // namespace ohmglow
