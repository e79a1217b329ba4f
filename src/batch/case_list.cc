// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/case_list.h"

#include <xxhash.h>

#include <algorithm>
#include <array>
#include <set>

#include "batch/case_names.h"
#include "input/series_pages.h"
#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::batch {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kCaseFile = "case.ini";

// Walks down from a folder. Recursion, so that a link back to a folder above
// shows as one that is being walked already.
class Finder {
 public:
  explicit Finder(const fs::path& skip) : skip_(fs::weakly_canonical(fs::absolute(skip))) {}

  // `relative` is the folder's path below the root.
  void Walk(const fs::path& folder, const fs::path& relative) {
    std::error_code code;
    const fs::path real = fs::canonical(folder, code);
    const bool above = std::find(open_.begin(), open_.end(), real) != open_.end();
    if (code || real == skip_ || above) return;
    open_.push_back(real);
    if (fs::is_regular_file(folder / kCaseFile, code)) {
      found_.push_back({relative.string(), folder / kCaseFile});
    }
    const std::size_t before = found_.size();
    const bool was_inside = inside_case_;
    inside_case_ |= fs::is_regular_file(folder / kCaseFile, code);
    const std::vector<std::string> below = Folders(folder);
    const bool holds = !inside_case_ && (HoldsFrames(folder) ||
                                         (!relative.empty() && HoldsFramesBelow(folder, below)));
    inside_case_ |= holds;
    for (const std::string& name : below) Walk(folder / name, relative / name);
    // Nothing in it or below is a case, yet it holds frames: said, not passed over in silence.
    if (holds && found_.size() == before) {
      problems_.push_back(folder.string() + ": holds frames but no case.ini; make one with " +
                          "'ohmglow new " + folder.string() + "'");
    }
    inside_case_ = was_inside;
    open_.pop_back();
  }

  std::vector<CaseEntry> found_;
  std::vector<std::string> problems_;

 private:
  std::vector<std::string> Folders(const fs::path& folder) {
    std::vector<std::string> names;
    std::error_code code;
    for (fs::directory_iterator at(folder, code), end; !code && at != end; at.increment(code)) {
      const std::string name = at->path().filename().string();
      std::error_code ignored;
      if (!name.starts_with('.') && at->is_directory(ignored)) names.push_back(name);
    }
    if (code) problems_.push_back(folder.string() + ": cannot be read (" + code.message() + ")");
    std::sort(names.begin(), names.end());
    return names;
  }

  // By the names of its files alone; a folder of our results is none.
  static bool HoldsFrames(const fs::path& folder) {
    constexpr std::array<std::string_view, 9> kOfFrames{
        ".tif", ".tiff", ".npy", ".npz", ".fits", ".pgm", ".raw", ".mkv", ".avi"};
    // Pictures and tables are photos and logs as well, but not so many.
    constexpr std::array<std::string_view, 5> kInNumbers{".png", ".jpg", ".csv", ".txt", ".fit"};
    constexpr int kMany = 16;
    std::error_code code;
    if (fs::exists(folder / "result.json", code)) return false;
    std::array<int, kInNumbers.size()> counts{};
    for (fs::directory_iterator at(folder, code), end; !code && at != end; at.increment(code)) {
      const std::string ending = ToLower(at->path().extension().string());
      if (std::find(kOfFrames.begin(), kOfFrames.end(), ending) != kOfFrames.end()) return true;
      const auto* const many = std::find(kInNumbers.begin(), kInNumbers.end(), ending);
      if (many == kInNumbers.end()) continue;
      if (++counts[static_cast<std::size_t>(many - kInNumbers.begin())] == kMany) return true;
    }
    return false;
  }

  // The frames in a folder of their own, beside the log and what else belongs to them.
  static bool HoldsFramesBelow(const fs::path& folder, const std::vector<std::string>& below) {
    std::error_code code;
    // A log, list or photo; a readme may lie above several cases.
    constexpr std::array<std::string_view, 6> kOfCase{
        ".csv", ".tsv", ".log", ".png", ".jpg", ".jpeg"};
    if (fs::exists(folder / "result.json", code)) return false;
    const auto with_frames = std::count_if(
        below.begin(), below.end(), [&](const auto& name) { return HoldsFrames(folder / name); });
    if (with_frames != 1) return false;
    for (fs::directory_iterator at(folder, code), end; !code && at != end; at.increment(code)) {
      const std::string ending = ToLower(at->path().extension().string());
      if (std::find(kOfCase.begin(), kOfCase.end(), ending) != kOfCase.end()) return true;
    }
    return false;
  }

  fs::path skip_;
  std::vector<fs::path> open_;
  bool inside_case_ = false;  // A folder above is a case or has the frames of one: its files.
};

// Final names and order of entries that are named by paths so far.
std::vector<CaseEntry> Named(std::vector<CaseEntry> cases) {
  std::vector<std::string> names;
  for (const CaseEntry& entry : cases) names.push_back(SafeName(entry.name));
  names = MakeDistinct(names);
  for (std::size_t i = 0; i < cases.size(); ++i) cases[i].name = names[i];
  std::sort(cases.begin(), cases.end(), [](const CaseEntry& a, const CaseEntry& b) {
    return NaturalLess(a.name, b.name);
  });
  return cases;
}

// Of the folder, or of the file itself where it has a name of its own.
std::string ListedName(const fs::path& file) {
  const fs::path path = file.filename() == kCaseFile ? file.parent_path() : file;
  return path.filename() == file.filename() ? (path.parent_path() / path.stem()).string()
                                            : path.string();
}

}  // namespace

CaseList FindCases(const fs::path& root, const fs::path& skip) {
  std::error_code ignored;
  if (!fs::is_directory(root, ignored)) {
    throw InputError(root.string() + ": is no folder; name the folder that holds the cases");
  }
  Finder finder(skip);
  finder.Walk(root, {});
  for (CaseEntry& entry : finder.found_) {
    if (entry.name.empty()) entry.name = fs::canonical(root).filename().string();
  }
  if (finder.found_.empty()) {
    throw InputError(finder.problems_.empty()
                         ? root.string() + ": no case.ini in it or below; name another folder"
                         : finder.problems_.front());
  }
  return {Named(std::move(finder.found_)), std::move(finder.problems_)};
}

CaseList ReadCaseList(std::string_view text, const std::string& name) {
  CaseList list;
  std::set<fs::path> seen;
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    const std::string line(Trim(text.substr(begin, end - begin)));
    begin = end + 1;
    if (line.empty()) continue;
    fs::path file = fs::path(line).lexically_normal();
    std::error_code ignored;
    if (file.filename().empty() || fs::is_directory(file, ignored)) file /= kCaseFile;
    if (seen.insert(file).second) list.cases.push_back({ListedName(file), file});
  }
  if (list.cases.empty()) throw InputError(name + ": lists no case; give one path a line");
  list.cases = Named(std::move(list.cases));
  return list;
}

bool InShard(std::string_view name, const Shard& shard) {
  const auto hash = static_cast<std::uint64_t>(XXH3_64bits(name.data(), name.size()));
  return hash % static_cast<std::uint64_t>(shard.count) ==
         static_cast<std::uint64_t>(shard.number - 1);
}

}  // namespace ohmglow::batch
