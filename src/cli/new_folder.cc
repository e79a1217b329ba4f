// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/new_folder.h"

#include <signal.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstring>
#include <string>
#include <vector>

#include "cli/output_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

// What a run left behind that was killed; the numbers are those of processes.
void ClearLeftovers(const fs::path& folder) {
  const std::string start = folder.filename().string() + ".partial-";
  std::error_code code;
  std::vector<fs::path> found;
  for (const auto& entry : fs::directory_iterator(folder.parent_path(), code)) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with(start) || entry.is_symlink() || !entry.is_directory(code)) continue;
    int process = 0;
    const char* const end = name.data() + name.size();
    const auto [stop, error] = std::from_chars(name.data() + start.size(), end, process);
    if (error != std::errc() || stop != end || process <= 0) continue;
    if (kill(process, 0) != 0 && errno == ESRCH) found.push_back(entry.path());
  }
  for (const fs::path& path : found) fs::remove_all(path, code);
}

}  // namespace

NewFolder::NewFolder(const fs::path& folder) {
  std::error_code code;
  folder_ = fs::weakly_canonical(fs::absolute(folder, code), code);
  if (code) RefuseOutput(folder, code.message() + "; give another folder with --out");
  if (folder_.filename().empty()) folder_ = folder_.parent_path();
  const fs::path parent = folder_.parent_path();
  if (!fs::is_directory(parent, code)) {
    RefuseOutput(folder,
                 "the folder it belongs in (" + parent.string() + ") is missing; make it first");
  }
  if (access(parent.c_str(), W_OK | X_OK) != 0) {
    RefuseOutput(folder, parent.string() + " cannot be written to (" + std::strerror(errno) + ")");
  }
  ClearLeftovers(folder_);
  fresh_ = folder_.string() + ".partial-" + std::to_string(getpid());
  if (!fs::exists(fs::symlink_status(folder_, code))) return;
  if (!fs::is_directory(folder_, code)) RefuseOutput(folder, "is a file; give a folder with --out");
  if (!fs::is_empty(folder_, code) || code) {
    RefuseOutput(folder, "is there already and is left as it is; give a new folder with --out");
  }
}

NewFolder::~NewFolder() {
  std::error_code ignored;
  if (made_) fs::remove_all(fresh_, ignored);
}

const fs::path& NewFolder::Fresh() {
  std::error_code code;
  if (!made_ && (!fs::create_directory(fresh_, code) || code)) {
    RefuseOutput(fresh_, "cannot be made (" + (code ? code.message() : "is there already") + ")");
  }
  made_ = true;
  return fresh_;
}

void NewFolder::Place() {
  std::error_code code;
  // Over an empty folder at most: the system refuses any other.
  fs::rename(fresh_, folder_, code);
  if (code) RefuseOutput(folder_, "cannot be put in its place (" + code.message() + ")");
  made_ = false;
}

}  // namespace ohmglow::cli
