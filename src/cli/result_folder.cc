// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/result_folder.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>

#include "cli/output_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

// Links and a trailing slash resolved: what is renamed is the folder itself.
fs::path Resolved(const fs::path& folder) {
  std::error_code code;
  // Absolute first: a relative name of which nothing exists yet would stay
  // relative and have no parent to look for.
  fs::path path = fs::weakly_canonical(fs::absolute(folder, code), code);
  if (code) RefuseOutput(folder, code.message() + "; give another folder with --out");
  if (path.filename().empty()) path = path.parent_path();
  return path;
}

bool IsOurName(const FolderKind& kind, const fs::path& name) {
  return std::find(kind.names.begin(), kind.names.end(), name.string()) != kind.names.end();
}

bool HoldsResult(const FolderKind& kind, const fs::path& folder) {
  std::ifstream stream(folder / kind.index());
  const auto json = nlohmann::json::parse(stream, nullptr, false);
  if (!json.is_object() || !json.contains("program")) return false;
  const auto& program = json["program"];
  return program.is_object() && program.value("name", nlohmann::json()) == "ohmglow";
}

bool HoldsAnyOfOurNames(const FolderKind& kind, const fs::path& folder) {
  return std::any_of(kind.names.begin(), kind.names.end(), [&](std::string_view name) {
    return fs::exists(fs::symlink_status(folder / name));
  });
}

// A folder that exists while its maker lives, or until whoever finds it locks
// it: the lock ends with the process, whatever ends the process.
class LockedFolder {
 public:
  explicit LockedFolder(const fs::path& path)
      : descriptor_(open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)),
        locked_(descriptor_ >= 0 && flock(descriptor_, LOCK_EX | LOCK_NB) == 0) {}
  ~LockedFolder() {
    if (descriptor_ >= 0) close(descriptor_);
  }
  LockedFolder(const LockedFolder&) = delete;
  LockedFolder& operator=(const LockedFolder&) = delete;
  [[nodiscard]] bool locked() const { return locked_; }

 private:
  int descriptor_;
  bool locked_;
};

// Removes our files and, if nothing else is there, the folder. Never throws:
// a leftover spoils nothing.
void RemoveOurs(const FolderKind& kind, const fs::path& folder) {
  std::error_code ignored;
  for (const auto name : kind.names) fs::remove(folder / name, ignored);
  fs::remove(folder, ignored);
}

// What else was in the old folder goes where the user expects it.
void CarryOver(const FolderKind& kind, const fs::path& from, const fs::path& to) {
  std::error_code code;
  std::vector<fs::path> names;
  for (const auto& entry : fs::directory_iterator(from, code)) {
    if (!IsOurName(kind, entry.path().filename())) names.push_back(entry.path().filename());
  }
  for (const auto& name : names) {
    if (!fs::exists(fs::symlink_status(to / name))) fs::rename(from / name, to / name, code);
  }
}

// Folders of killed runs. One that holds the old result while `folder` is
// missing (killed between two renames) goes back first.
void ClearLeftovers(const FolderKind& kind, const fs::path& folder) {
  const std::string start = folder.filename().string() + ".partial-";
  std::error_code code;
  std::vector<fs::path> found;
  for (const auto& entry : fs::directory_iterator(folder.parent_path(), code)) {
    const auto name = entry.path().filename().string();
    if (name.starts_with(start) && entry.is_directory(code)) found.push_back(entry.path());
  }
  for (const auto& path : found) {
    const LockedFolder lock(path);
    if (!lock.locked()) continue;
    const bool set_aside = path.string().ends_with("-old");
    if (set_aside && !fs::exists(folder)) {
      fs::rename(path, folder, code);
      continue;
    }
    if (fs::exists(folder)) CarryOver(kind, path, folder);
    RemoveOurs(kind, path);
  }
}

void WriteFile(const fs::path& path, const std::string& bytes, const fs::path& shown) {
  std::ofstream stream(path, std::ios::binary);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  stream.close();
  if (!stream) {
    RefuseOutput(shown / path.filename(),
                 std::string("cannot be written (") + std::strerror(errno) +
                     "); check free space and rights");
  }
}

// Two renames where the file system cannot swap.
void ReplaceBySteps(const FolderKind& kind, const fs::path& fresh, const fs::path& folder) {
  const fs::path aside = fresh.string() + "-old";
  std::error_code code;
  fs::rename(folder, aside, code);
  if (code) RefuseOutput(folder, "the older result cannot be moved aside (" + code.message() + ")");
  fs::rename(fresh, folder, code);
  if (!code) {
    CarryOver(kind, aside, folder);
    RemoveOurs(kind, aside);
    return;
  }
  std::error_code ignored;
  fs::rename(aside, folder, ignored);
  RefuseOutput(folder,
               "cannot be replaced (" + code.message() + "); the older result is still there");
}

void Replace(const FolderKind& kind, const fs::path& fresh, const fs::path& folder) {
  if (renameat2(AT_FDCWD, fresh.c_str(), AT_FDCWD, folder.c_str(), RENAME_EXCHANGE) != 0) {
    ReplaceBySteps(kind, fresh, folder);
    return;
  }
  CarryOver(kind, fresh, folder);
}

// Into a folder with other files and no result: one by one, result.json last.
void MoveInto(const FolderKind& kind, const fs::path& fresh, const fs::path& folder) {
  std::error_code code;
  for (const auto name : kind.names) {
    if (!fs::exists(fresh / name)) continue;
    fs::rename(fresh / name, folder / name, code);
    if (code) {
      std::error_code ignored;
      for (const auto moved : kind.names) fs::remove(folder / moved, ignored);
      RefuseOutput(folder / name, "cannot be written (" + code.message() + ")");
    }
  }
}

void PutInPlace(const FolderKind& kind, const fs::path& fresh, const fs::path& folder) {
  if (HoldsResult(kind, folder)) {
    Replace(kind, fresh, folder);
    return;
  }
  if (fs::exists(folder) && !fs::is_empty(folder)) {
    MoveInto(kind, fresh, folder);
    return;
  }
  std::error_code code;
  fs::rename(fresh, folder, code);
  if (code) RefuseOutput(folder, "cannot be made (" + code.message() + ")");
}

void Check(const FolderKind& kind, const fs::path& folder) {
  const fs::path path = Resolved(folder);
  const fs::path parent = path.parent_path();
  if (fs::exists(parent) && !fs::is_directory(parent)) {
    RefuseOutput(folder,
                 parent.string() + " is a file, not a folder; give another folder with --out");
  }
  if (!fs::is_directory(parent)) {
    RefuseOutput(folder,
                 "the folder it belongs in (" + parent.string() + ") is missing; make it first");
  }
  if (access(parent.c_str(), W_OK | X_OK) != 0) {
    RefuseOutput(folder, parent.string() + " cannot be written to (" + std::strerror(errno) + ")");
  }
  if (!fs::exists(path)) return;
  if (!fs::is_directory(path)) RefuseOutput(folder, "is a file; give a folder with --out");
  if (access(path.c_str(), R_OK | W_OK | X_OK) != 0) {
    RefuseOutput(folder, std::string("cannot be written to (") + std::strerror(errno) + ")");
  }
  if (HoldsAnyOfOurNames(kind, path) && !HoldsResult(kind, path)) {
    RefuseOutput(
        folder,
        "holds files that would be overwritten but no result of ohmglow; give another folder "
        "with --out");
  }
}

void Write(const FolderKind& kind, const fs::path& folder, const std::vector<ResultFile>& files) {
  const fs::path path = Resolved(folder);
  ClearLeftovers(kind, path);
  Check(kind, folder);
  const fs::path fresh = path.string() + ".partial-" + std::to_string(getpid());
  std::error_code code;
  if (!fs::create_directory(fresh, code) || code) {
    RefuseOutput(fresh, "cannot be made (" + code.message() + ")");
  }
  const LockedFolder lock(fresh);
  try {
    for (const auto& file : files) WriteFile(fresh / file.name, file.bytes, folder);
    PutInPlace(kind, fresh, path);
  } catch (...) {
    RemoveOurs(kind, fresh);
    throw;
  }
  RemoveOurs(kind, fresh);
}

// The library's own exceptions name no remedy.
template <typename Action>
void Translated(const fs::path& folder, const Action& action) {
  try {
    action();
  } catch (const fs::filesystem_error& error) {
    RefuseOutput(folder,
                 error.code().message() + "; check rights, or give another folder with --out");
  }
}

}  // namespace

void CheckResultFolder(const fs::path& folder, const FolderKind& kind) {
  Translated(folder, [&] { Check(kind, folder); });
}

void WriteResultFolder(const fs::path& folder,
                       const FolderKind& kind,
                       const std::vector<ResultFile>& files) {
  Translated(folder, [&] { Write(kind, folder, files); });
}

void ClearLeftovers(const fs::path& folder, const FolderKind& kind) {
  std::error_code ignored;
  const fs::path path = fs::weakly_canonical(fs::absolute(folder, ignored), ignored);
  ClearLeftovers(kind, path);
}

}  // namespace ohmglow::cli
