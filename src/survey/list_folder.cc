// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <fstream>
#include <map>
#include <set>

#include "base/median.h"
#include "input/series_pages.h"
#include "ohmglow/base/error.h"
#include "survey/found_file.h"

namespace ohmglow {
namespace {

namespace fs = std::filesystem;

constexpr int kDeepest = 3;
constexpr std::size_t kMostFiles = 200'000;
constexpr std::size_t kLeastSeries = 12;
// Frames of one capture differ in size by what compression makes of them, a photo by far more.
constexpr std::uintmax_t kOtherSize = 4;

// The JSON of a result names its program within the first lines.
bool IsResultJson(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  std::string start(400, '\0');
  stream.read(start.data(), static_cast<std::streamsize>(start.size()));
  start.resize(static_cast<std::size_t>(stream.gcount()));
  return start.find("\"name\": \"ohmglow\"") != std::string::npos;
}

class Lister {
 public:
  Lister(fs::path folder, const std::vector<std::string>& result_names)
      : folder_(std::move(folder)),
        whole_(Whole(folder_)),
        result_names_(result_names.begin(), result_names.end()) {}

  void Look(const fs::path& below, int depth) {
    std::vector<fs::path> folders;
    std::vector<ListedFile> here;
    bool has_result = false;
    std::error_code code;
    // Its ++ would throw where the folder goes away meanwhile.
    for (fs::directory_iterator at(folder_ / below, code), end; !code && at != end;
         at.increment(code)) {
      const fs::directory_entry& entry = *at;
      std::error_code unseen;
      const std::string name = entry.path().filename().string();
      if (name.starts_with('.') || name.find(".partial-") != std::string::npos) continue;
      const bool link = entry.is_symlink(unseen);
      if (entry.is_directory(unseen) && !link) folders.push_back(below / name);
      if (!entry.is_regular_file(unseen) || (link && LeadsElsewhere(entry.path()))) continue;
      const std::uintmax_t bytes = entry.file_size(unseen);
      here.push_back({(below / name).generic_string(), unseen ? 0 : bytes});
      has_result = has_result || (name.ends_with(".json") && IsResultJson(entry.path()));
    }
    // A folder that holds a result and nothing else of note is a result.
    if (has_result && depth > 0) {
      set_aside_.push_back(below.generic_string());
      return;
    }
    for (ListedFile& file : here) {
      if (has_result && result_names_.contains(fs::path(file.name).filename().string())) {
        set_aside_.push_back(file.name);
      } else {
        files_.push_back(std::move(file));
      }
    }
    if (files_.size() > kMostFiles) {
      throw InputError(folder_.string() + ": holds more than " + std::to_string(kMostFiles) +
                       " files; name the folder of one capture");
    }
    if (depth == kDeepest) return;
    for (const fs::path& next : folders) Look(next, depth + 1);
  }

  [[nodiscard]] std::vector<ListedFile> TakeFiles() { return std::move(files_); }
  [[nodiscard]] std::vector<std::string> TakeSetAside() { return std::move(set_aside_); }

 private:
  static fs::path Whole(const fs::path& path) {
    std::error_code code;
    return fs::canonical(path, code);
  }

  [[nodiscard]] bool LeadsElsewhere(const fs::path& link) const {
    const fs::path target = Whole(link).lexically_relative(whole_);
    return target.empty() || *target.begin() == "..";
  }

  fs::path folder_;
  fs::path whole_;
  std::set<std::string> result_names_;
  std::vector<ListedFile> files_;
  std::vector<std::string> set_aside_;
};

// "raw/f012.tiff" is "raw/f#.tiff".
std::string WithoutNumbers(const std::string& name) {
  const std::size_t base = name.rfind('/') == std::string::npos ? 0 : name.rfind('/') + 1;
  // A dot's digits are the kind of file.
  const std::size_t dot = std::max(name.rfind('.'), base);
  std::string out = name.substr(0, base);
  for (std::size_t i = base; i < name.size(); ++i) {
    const bool digit = name[i] >= '0' && name[i] <= '9' && (dot == std::string::npos || i < dot);
    if (!digit) {
      out += name[i];
    } else if (out.empty() || out.back() != '#') {
      out += '#';
    }
  }
  return out;
}

std::uintmax_t MiddleBytes(const std::vector<ListedFile>& files) {
  std::vector<std::uintmax_t> bytes;
  for (const ListedFile& file : files) bytes.push_back(file.bytes);
  return MedianOf(bytes);
}

}  // namespace

std::vector<ListedFile> ListFolder(const fs::path& folder,
                                   const std::vector<std::string>& result_names,
                                   std::vector<std::string>& set_aside) {
  std::error_code code;
  if (!fs::is_directory(folder, code)) {
    throw InputError(folder.string() + ": no such folder; check its name");
  }
  Lister lister(folder, result_names);
  lister.Look({}, 0);
  set_aside = lister.TakeSetAside();
  std::sort(set_aside.begin(), set_aside.end(), NaturalLess);
  std::vector<ListedFile> files = lister.TakeFiles();
  std::sort(files.begin(), files.end(), [](const ListedFile& a, const ListedFile& b) {
    return NaturalLess(a.name, b.name);
  });
  return files;
}

std::vector<FileGroup> GroupFiles(const std::vector<ListedFile>& files) {
  std::map<std::string, std::vector<ListedFile>> by_pattern;
  for (const ListedFile& file : files) by_pattern[WithoutNumbers(file.name)].push_back(file);
  std::vector<FileGroup> groups;
  for (auto& [pattern, members] : by_pattern) {
    std::vector<ListedFile> alone = std::move(members);
    if (alone.size() >= kLeastSeries) {
      const std::uintmax_t usual = MiddleBytes(alone);
      const auto alike = std::stable_partition(alone.begin(), alone.end(), [&](const auto& file) {
        return file.bytes > kOtherSize * usual || file.bytes * kOtherSize < usual;
      });
      groups.push_back({pattern, {alike, alone.end()}});
      alone.erase(alike, alone.end());
    }
    for (ListedFile& file : alone) {
      std::string name = file.name;
      groups.push_back({std::move(name), {std::move(file)}});
    }
  }
  return groups;
}

}  // namespace ohmglow
